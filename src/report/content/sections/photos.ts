import { table, type Block } from '../blocks.ts';
import { departureRms } from '../../../figures/departures.ts';
import { commonScale, fittingEnlargement, outlineFigure } from '../../../figures/outline.ts';
import { remarkOf } from '../../../text/notes.ts';
import type { Language } from '../../../text/language.ts';
import { NUMBERS } from '../numbers.ts';
import { visible } from '../../record/plain-text.ts';
import type { ReportData } from '../../record/record.ts';
import { PHOTOS_WORDS } from '../words/photos-words.ts';

const short = (t: string, most: number): string =>
  [...t].length > most ? `${[...t].slice(0, most - 1).join('')}\u2026` : t;
const name = (t: string, most: number): string => short(visible(t), most);
type Photo = ReportData['result']['photos'][number];

/** A photo's worst remark; English as the result has it, else by its code. */
function remarkIn({ remark, code, notes }: Photo, language: Language): string | null {
  const note = language === 'en' ? undefined : notes.find((n) => n.code === code);
  return note === undefined ? remark : remarkOf(note, language);
}

/** Each photo's fitted outline with its departures enlarged. */
export function outlineGallery({ result }: ReportData, columns: number, language: Language, most = Infinity): Block[] {
  const words = PHOTOS_WORDS[language];
  const shown = result.photos.filter((p) => p.outline !== null && p.scale !== null && p.outline.model.length >= 6);
  if (shown.length === 0) return [];
  const enlargement = fittingEnlargement(result.photos);
  const width = columns === 4 ? 112 : 150;
  const perMm = commonScale(shown, width);
  return [
    {
      kind: 'gallery',
      caption: words.outlines(enlargement, shown.length > most ? most : null, shown.length),
      columns,
      figures: shown.slice(0, most).map((p) => ({
        caption: words.up(name(p.photo, 28), visible(p.up)),
        about: words.outline(visible(p.photo), NUMBERS[language].told(1000 * p.scale! * departureRms(p.outline!), 1)),
        drawing: outlineFigure(p.outline!, p.scale!, enlargement, width, perMm, language),
      })),
    },
  ];
}

/** Photos with what was found of them; for the laboratory all that is known. */
export function photosTable({ result }: ReportData, all: boolean, language: Language): Block {
  const words = PHOTOS_WORDS[language];
  const num = (x: number | null, digits: number): string => (x === null ? '\u2013' : NUMBERS[language].told(x, digits));
  const rms = (p: Photo): number | null =>
    p.outline && p.scale !== null ? 1000 * p.scale * departureRms(p.outline) : null;
  return table(
    words.photos,
    all ? words.headAll : words.head,
    result.photos.map((p) => {
      const status = words.status[p.status];
      const remark = remarkIn(p, language);
      return all
        ? [
            name(p.photo, 40),
            visible(p.up),
            visible(p.front),
            status,
            num(p.cardPoints, 0),
            num(p.cardSigma, 3),
            num(p.lean, 1),
            num(p.scale && 1000 * p.scale, 1),
            p.blur ? `${num(p.blur[0], 2)} / ${num(p.blur[1], 2)}` : '\u2013',
            num(rms(p), 1),
          ]
        : [
            name(p.photo, 40),
            visible(p.up),
            num(p.lean, 1),
            num(rms(p), 1),
            remark === null ? status : `${status}: ${short(visible(remark), 120)}`,
          ];
    }),
    all,
  );
}

/** Remarks on photos, in full. */
export const remarksList = ({ result }: ReportData, language: Language): Block[] => {
  const items = result.photos.flatMap((p) => {
    const remark = remarkIn(p, language);
    return remark === null ? [] : [`${name(p.photo, 60)}: ${visible(remark)}`];
  });
  return items.length > 0 ? [{ kind: 'list', items }] : [];
};

/** The photos' digests. */
export const digestsTable = ({ photos }: ReportData, language: Language): Block[] =>
  photos.length === 0
    ? []
    : [
        table(
          PHOTOS_WORDS[language].digests,
          PHOTOS_WORDS[language].headDigests,
          photos.map((p) => [name(p.photo, 30), String(p.bytes), p.sha256]),
          true,
        ),
      ];
