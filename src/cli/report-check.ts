import { jobMessage } from '../text/job-faults.ts';
import { createFileSet } from '../measure/file-set.ts';
import { ahead } from '../pool/pool.ts';
import { remarkOf } from '../text/notes.ts';
import { checkReport, type Check } from '../report/check/check-report.ts';
import { told } from '../figures/scale.ts';
import { openFaultText, openReport } from '../report/check/open-report.ts';
import { photoDigest, type ReportRecord } from '../report/record/record.ts';
import { jobOfReport, sideBySide, type Remeasured } from '../report/check/remeasure.ts';
import { EXIT } from './command.ts';
import { fileBytes } from './files.ts';
import { print, printJson, say } from './streams.ts';
import { crewFor } from './photo-crew.ts';
import { thrownFor } from './predicted.ts';
import { photosIn, subtle } from './report-host.ts';
import { reportFonts } from './report-fonts.ts';

type Photo = { readonly photo: string; readonly data: Uint8Array };

/** Opens a report and says what agrees; with a folder of photos measures again. */
export async function checkFile(file: string, folder: string | null, json: boolean): Promise<number> {
  const bytes = await fileBytes(file);
  if (!bytes.ok) return refused(bytes.error, json);
  const lot = await (await import('../report/check/check-lot.ts')).checkLotReport(bytes.value, await reportFonts());
  if (lot !== null) {
    if (json) printJson(`${JSON.stringify({ format: 'evencast-check/1', ...lot }, null, 1)}\n`);
    else print(`Lot report ${lot.number ?? 'without a lot'}\n${SIGNS[`${lot.agrees}`]} ${lot.text}\n`);
    return lot.agrees ? EXIT.done : EXIT.notMeasurable;
  }
  const opened = openReport(bytes.value);
  if (!opened.ok) return refused(openFaultText(opened.error), json);
  const { record } = opened.value;
  const photos =
    folder === null
      ? null
      : await photosIn(
          folder,
          record.data.result.photos.map((p) => p.photo),
        );
  const checks = await checkReport(opened.value, bytes.value, {
    fonts: await reportFonts(),
    subtle,
    photos: photos?.map((p) => photoDigest(p.photo, p.data)) ?? null,
    thrownAgain: thrownFor,
  });
  const again = photos === null ? null : await measuredAgain(record, photos);
  const compared = again !== null && 'rows' in again ? again : null;
  const failed = checks.some((c) => c.agrees === false) || (again !== null && !(compared?.agrees ?? false));
  if (json) printJson(asJson(record, checks, again, !failed));
  else print(asText(record, checks, again, failed));
  return failed ? EXIT.notMeasurable : EXIT.done;
}

function refused(message: string, json: boolean): number {
  if (json) printJson(`${JSON.stringify({ format: 'evencast-check/1', error: { message } })}\n`);
  say(`evencast report: ${message}\n`);
  return EXIT.notMeasurable;
}

type Again = Remeasured | { readonly failed: string };

async function measuredAgain(record: ReportRecord, photos: readonly Photo[]): Promise<Again> {
  const job = jobOfReport(record.data);
  if (!job.ok) return { failed: jobMessage(job.error) };
  const set = createFileSet(job.value, () => 0);
  const crew = crewFor(null, job.value.shots.length);
  const dataOf = (photo: string) => new Uint8Array(photos.find((p) => p.photo === photo)?.data ?? []);
  for await (const looked of ahead(job.value.shots, ({ photo }) => crew.look(photo, dataOf(photo)), 2 * crew.size))
    set.take(looked);
  const outcome = await set.finish(undefined, crew.size > 1 ? crew : undefined);
  crew.close();
  if (!outcome.ok) return { failed: remarkOf(outcome.error) };
  return sideBySide(record.data.result, outcome.value) ?? { failed: 'The photos show another kind of die.' };
}

const SIGNS = { true: 'agrees  ', false: 'DIFFERS ', null: 'open    ' } as const;

function asText(record: ReportRecord, checks: readonly Check[], again: Again | null, failed: boolean): string {
  const lines = [`Report ${record.number}, ${record.data.result.die.kind}`];
  for (const c of checks) lines.push(`${SIGNS[`${c.agrees}`]} ${c.text}`, ...c.details.map((d) => `           ${d}`));
  if (again !== null && 'failed' in again) lines.push(`DIFFERS  The photos cannot be measured again: ${again.failed}`);
  if (again !== null && 'rows' in again) {
    lines.push(
      again.identical
        ? 'agrees   Measured again from the photos: the same numbers.'
        : again.agrees
          ? 'agrees   Measured again from the photos: the same within U95.'
          : 'DIFFERS  Measured again from the photos: other numbers.',
      `${''.padEnd(24)}${'report, mm'.padStart(12)}${'again, mm'.padStart(12)}${'difference, \u00b5m'.padStart(16)}${'of U95'.padStart(9)}`,
      ...again.rows.map(
        (r) =>
          `${r.name.padEnd(24)}${r.stated.toFixed(4).padStart(12)}${r.again.toFixed(4).padStart(12)}${told(1000 * r.difference, 2).padStart(16)}${r.share.toFixed(3).padStart(9)}`,
      ),
    );
  }
  lines.push(
    failed
      ? 'This report does not agree with itself or with its photos.'
      : 'Nothing disagrees. That proves sameness, not truth or authorship.',
  );
  return `${lines.join('\n')}\n`;
}

function asJson(record: ReportRecord, checks: readonly Check[], again: Again | null, agrees: boolean): string {
  return `${JSON.stringify({ format: 'evencast-check/1', number: record.number, agrees, checks, again }, null, 1)}\n`;
}
