import { basename } from 'node:path';
import { parseArgs } from 'node:util';
import { acceptanceOf, type Acceptance, type SamplingChoice } from '../lots/acceptance.ts';
import { analyseLot } from '../lots/analysis.ts';
import { analysisText } from '../lots/analysis-record.ts';
import { dieFromResult } from '../lots/die-record.ts';
import { BOUNDS, NO_LIMITS, type Lot } from '../lots/lot.ts';
import { LOT_WORDS } from '../lots/lot-words.ts';
import { addDie, type AddFault } from '../lots/lot-edit.ts';
import { lotText, parsed, readLimits, readLot } from '../lots/read-lot.ts';
import { plain } from '../formats/read.ts';
import { AQLS, LEVELS, samplingPlan } from '../lots/sampling-plan.ts';
import { languageNamed, LANGUAGES, type Language } from '../text/language.ts';
import { EXIT } from './command.ts';
import { fileText } from './files.ts';
import { print, printJson, put, say } from './streams.ts';
import { lotTable } from './lot-table.ts';

const words = LOT_WORDS.en;

const usage = `usage: npm run -s evencast -- lot FILE... [--limits FILE] [--aql A --size N [--level L]] [--json | --as-lot | --format FORM]
  FILE      a lot file ("evencast-lot/1"), or results of "measure --json" (or report data) in the order in which the dice were made
  --limits  a file "evencast-lot-limits/1": { "format": ..., "limits": { "axis": { "lower": 19.9, "upper": 20.1 }, ... } }, also of
            meanAxis, rangeOfAxes, corner, meanCornerRadius; mm. They stand for the lot's own.
  --aql     judge the lot by a single sampling plan of ISO 2859-1, normal inspection: ${AQLS[0]} to ${AQLS.at(-1)}
  --size    dice in the whole lot; the lot file's own where left out
  --level   ${LEVELS.join(', ')}; II where left out
  --json    all numbers ("evencast-lot-analysis/1"); lengths mm, variances mm^2; null where an interval is open
  --format  pdf, html or csv: a report, to stdout; the lot file is attached to pdf and html
  --language  of a report as pdf or html: ${LANGUAGES.join(' or ')}; en where left out
  --as-lot  write the lot file instead of judging it
Judges measured dice together: mould, finishing, outliers, capability, control charts. Not for gaming for money.
`;

/** Forms of the report, written to stdout. */
const REPORT_FORMS = ['pdf', 'html', 'csv'] as const;
type ReportForm = (typeof REPORT_FORMS)[number];

interface Options {
  readonly files: readonly string[];
  readonly limits: string | null;
  readonly sampling: { readonly aql: number; readonly level: string; readonly size: number | null } | null;
  readonly form: 'table' | 'json' | 'lot' | ReportForm;
  readonly language: Language;
}

/** Judges a lot. */
export async function run(args: readonly string[]): Promise<number> {
  if (args.includes('--help') || args.includes('-h')) {
    print(usage);
    return EXIT.done;
  }
  const options = read(args);
  if (typeof options === 'string') {
    say(`evencast lot: ${options}\n${usage}`);
    return EXIT.usage;
  }
  const lot = await lotFrom(options);
  const sampling = typeof lot === 'string' ? null : choiceOf(lot, options);
  const wrong = typeof lot === 'string' ? lot : typeof sampling === 'string' ? sampling : null;
  if (wrong !== null || typeof lot === 'string' || typeof sampling === 'string') {
    if (options.form === 'json')
      printJson(`${JSON.stringify({ format: 'evencast-lot-analysis/1', error: { message: wrong } })}\n`);
    say(`evencast lot: ${wrong}\n`);
    return EXIT.notMeasurable;
  }
  const out = await judged(lot, sampling, options);
  // A pipe takes its time; the process ends when it has taken all.
  await put(out, null);
  return EXIT.done;
}

async function judged(
  lot: Lot,
  choice: SamplingChoice | null,
  { form, language }: Options,
): Promise<string | Uint8Array> {
  if (form === 'lot') return lotText(lot);
  const analysis = analyseLot(lot);
  const sampling = choice && acceptance(choice, analysis.conformity);
  if (form === 'table') return lotTable(lot, analysis, sampling);
  if (form === 'json') return analysisText(lot, lot, analysis, sampling);
  const { lotCsv, lotHtml, lotNumber, lotPdf } = await import('../report/lot/lot-files.ts');
  if (form === 'csv') return lotCsv(lot, analysis);
  const reportedOn = new Date().toISOString().slice(0, 10);
  const input = { whole: lot, lot, analysis, sampling, reportedOn, number: lotNumber(lot), language };
  return form === 'html'
    ? lotHtml(input)
    : lotPdf(input, 'a4', await (await import('./report-fonts.ts')).reportFonts());
}

/** The plan was tried before: it exists. */
function acceptance(choice: SamplingChoice, found: Parameters<typeof acceptanceOf>[1]): Acceptance | null {
  const out = acceptanceOf(choice, found);
  return out.ok ? out.value : null;
}

function choiceOf(lot: Lot, { sampling }: Options): SamplingChoice | string | null {
  if (sampling === null) return null;
  const lotSize = sampling.size ?? lot.size;
  if (lotSize === null) return 'how many dice the lot has is said neither by --size nor by the lot file';
  const plan = samplingPlan(lotSize, sampling.aql, sampling.level);
  return plan.ok ? { lotSize, aql: sampling.aql, level: sampling.level } : words.planFault(plan.error);
}

function read(args: readonly string[]): Options | string {
  try {
    const { values, positionals } = parseArgs({
      args: [...args],
      allowPositionals: true,
      options: {
        limits: { type: 'string' },
        aql: { type: 'string' },
        level: { type: 'string' },
        size: { type: 'string' },
        json: { type: 'boolean', default: false },
        format: { type: 'string' },
        language: { type: 'string', default: 'en' },
        'as-lot': { type: 'boolean', default: false },
      },
    });
    if (positionals.length === 0) return 'no file given, 1 or more needed';
    if ([values.json, values['as-lot'], values.format !== undefined].filter(Boolean).length > 1)
      return '--json, --as-lot and --format: one of them can be written';
    const report = REPORT_FORMS.find((f) => f === values.format);
    if (values.format !== undefined && report === undefined)
      return `--format ${plain(values.format)}: ${REPORT_FORMS.join(', ')} needed`;
    const language = languageNamed(values.language);
    if (language === undefined) return `--language ${plain(values.language)}: ${LANGUAGES.join(' or ')} needed`;
    if (report === 'pdf' && process.stdout.isTTY) return 'a PDF is not for the terminal: say > FILE';
    if (values.aql === undefined && (values.level !== undefined || values.size !== undefined))
      return '--level and --size belong to a sampling plan: --aql is needed';
    const [aql, level] = [Number(values.aql), values.level ?? 'II'];
    if (values.aql !== undefined) {
      const plan = samplingPlan(values.size === undefined ? 2 : Number(values.size), aql, level);
      if (!plan.ok) return words.planFault(plan.error);
    }
    return {
      files: positionals,
      limits: values.limits ?? null,
      sampling:
        values.aql === undefined ? null : { aql, level, size: values.size === undefined ? null : Number(values.size) },
      form: report ?? (values.json ? 'json' : values['as-lot'] ? 'lot' : 'table'),
      language,
    };
  } catch (error) {
    return (error as Error).message;
  }
}

/** The lot of all files with the limits asked for, or what is wrong. */
async function lotFrom({ files, limits }: Options): Promise<Lot | string> {
  const lot = await lotOfFiles(files);
  if (typeof lot === 'string' || limits === null) return lot;
  const json = await jsonFrom(limits);
  if (typeof json === 'string') return json;
  const own = readLimits(json.value);
  return own.ok ? { ...lot, limits: own.value } : `${plain(limits)}: ${words.fileFault(own.error)}`;
}

async function lotOfFiles(files: readonly string[]): Promise<Lot | string> {
  let lot: Lot | null = null;
  for (const file of files) {
    const json = await jsonFrom(file);
    if (typeof json === 'string') return json;
    const format = (json.value as { format?: unknown } | null)?.format;
    if (format === 'evencast-lot/1') {
      if (files.length > 1) return `${plain(file)}: a lot file stands alone, ${files.length} files given`;
      const whole = readLot(json.value);
      return whole.ok ? whole.value : `${plain(file)}: ${words.fileFault(whole.error)}`;
    }
    if (format === undefined && Array.isArray((json.value as { dice?: unknown } | null)?.dice))
      return `${plain(file)}: holds dice, but names no format: "format": "evencast-lot/1" is needed`;
    const die = dieFromResult(json.value, basename(file, '.json'));
    if (!die.ok)
      return `${plain(file)}: ${die.error.code === 'wrong' ? words.fileFault(die.error) : `not measured (${die.error.reason})`}`;
    lot ??= { name: '', note: '', kind: die.value.kind, timeUnit: 'h', size: null, limits: NO_LIMITS, dice: [] };
    const added = addDie(lot, die.value.kind, die.value.die);
    if (!added.ok) return `${plain(file)}: ${addFault(added.error)}`;
    lot = added.value;
  }
  return lot ?? 'no dice';
}

function addFault(fault: AddFault): string {
  switch (fault.code) {
    case 'other-kind':
      return `a ${fault.seen}, the others are ${fault.needed}`;
    case 'other-names':
      return words.fileFault({ ...fault, code: 'wrong', place: fault.family });
    case 'too-many':
      return `more than ${BOUNDS.dice} dice`;
  }
}

/** What a file holds, wrapped; or what is wrong with it. */
async function jsonFrom(file: string): Promise<{ readonly value: unknown } | string> {
  const text = await fileText(file, true);
  if (!text.ok) return plain(text.error);
  const json = parsed(text.value);
  return json.ok ? { value: json.value } : `${plain(file)}: ${words.fileFault(json.error)}`;
}
