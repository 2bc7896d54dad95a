import { table, type Block } from '../blocks.ts';
import { departureRms } from '../../../figures/departures.ts';
import { commonScale, fittingEnlargement, outlineFigure } from '../../../figures/outline.ts';
import { told } from '../../../figures/scale.ts';
import { visible } from '../../record/plain-text.ts';
import type { ReportData } from '../../record/record.ts';

const short = (t: string, most: number): string => ([...t].length > most ? `${[...t].slice(0, most - 1).join('')}\u2026` : t); // prettier-ignore
const name = (t: string, most: number): string => short(visible(t), most);
const STATUS = { used: 'used', 'used-with-remark': 'used, with remark', 'left-out': 'left out' } as const;

/** Each photo's fitted outline with its departures enlarged. */
export function outlineGallery({ result }: ReportData, columns: number, most = Infinity): Block[] {
  const shown = result.photos.filter((p) => p.outline !== null && p.scale !== null && p.outline.model.length >= 6);
  if (shown.length === 0) return [];
  const enlargement = fittingEnlargement(result.photos);
  const width = columns === 4 ? 112 : 150;
  const perMm = commonScale(shown, width);
  return [
    {
      kind: 'gallery',
      caption: `Outlines: fitted (dashed) and measured edge, its departure enlarged ${enlargement} times; both scales are drawn. Where nothing is drawn the edge was too faint.${shown.length > most ? ` Shown: the first ${most} of ${shown.length}.` : ''}`,
      columns,
      figures: shown.slice(0, most).map((p) => ({
        caption: `${name(p.photo, 28)}: ${visible(p.up)} up`,
        about: `Outline of photo ${visible(p.photo)}; root mean square departure ${told(1000 * p.scale! * departureRms(p.outline!), 1)} \u00b5m.`,
        drawing: outlineFigure(p.outline!, p.scale!, enlargement, width, perMm),
      })),
    },
  ];
}

const num = (x: number | null, digits: number): string => (x === null ? '\u2013' : told(x, digits));

/** Photos with what was found of them; for the laboratory all that is known. */
export function photosTable({ result }: ReportData, all: boolean): Block {
  const rms = (p: (typeof result.photos)[number]): number | null =>
    p.outline && p.scale !== null ? 1000 * p.scale * departureRms(p.outline) : null;
  return table(
    'Photos',
    all
      ? ['Photo', '#Up', '#Front', 'Status', '#Card points', '#Scatter, px', '#Lean,\u00a0\u00b0', '#\u00b5m/px', '#Blur, px', '#Residual,\u00a0\u00b5m'] // prettier-ignore
      : ['Photo', '#Up', '#Lean,\u00a0\u00b0', '#Residual,\u00a0\u00b5m', 'Status'],
    result.photos.map((p) => {
      const status = STATUS[p.status];
      return all
        ? [name(p.photo, 40), visible(p.up), visible(p.front), status, num(p.cardPoints, 0), num(p.cardSigma, 3), num(p.lean, 1), num(p.scale && 1000 * p.scale, 1), p.blur ? `${num(p.blur[0], 2)} / ${num(p.blur[1], 2)}` : '\u2013', num(rms(p), 1)] // prettier-ignore
        : [name(p.photo, 40), visible(p.up), num(p.lean, 1), num(rms(p), 1), p.remark === null ? status : `${status}: ${short(visible(p.remark), 120)}`]; // prettier-ignore
    }),
    all,
  );
}

/** Remarks on photos, in full. */
export const remarksList = ({ result }: ReportData): Block[] => {
  const items = result.photos.flatMap((p) => (p.remark === null ? [] : [`${name(p.photo, 60)}: ${visible(p.remark)}`]));
  return items.length > 0 ? [{ kind: 'list', items }] : [];
};

/** The photos' digests. */
export const digestsTable = ({ photos }: ReportData): Block[] =>
  photos.length === 0
    ? []
    : [
        table(
          'SHA-256 of the photo files',
          ['Photo', '#Bytes', 'SHA-256'],
          photos.map((p) => [name(p.photo, 30), String(p.bytes), p.sha256]),
          true,
        ),
      ];
