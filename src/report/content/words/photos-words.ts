import type { PhotoStatus } from '../../../formats/result.ts';
import type { Catalogue } from '../../../text/language.ts';

const en = {
  status: {
    used: 'used',
    'used-with-remark': 'used, with remark',
    'left-out': 'left out',
  } satisfies Record<PhotoStatus, string> as Readonly<Record<PhotoStatus, string>>,
  outlines: (enlargement: number, shown: number | null, of: number) =>
    `Outlines: fitted (dashed) and measured edge, its departure enlarged ${enlargement} times; both scales are drawn. Where nothing is drawn the edge was too faint.${shown === null ? '' : ` Shown: the first ${shown} of ${of}.`}`,
  up: (photo: string, number: string) => `${photo}: ${number} up`,
  outline: (photo: string, rms: string) => `Outline of photo ${photo}; root mean square departure ${rms} \u00b5m.`,
  photos: 'Photos',
  headAll: [
    'Photo',
    '#Up',
    '#Front',
    'Status',
    '#Card points',
    '#Scatter, px',
    '#Lean,\u00a0\u00b0',
    '#\u00b5m/px',
    '#Blur, px',
    '#Residual,\u00a0\u00b5m',
  ] as readonly string[],
  head: ['Photo', '#Up', '#Lean,\u00a0\u00b0', '#Residual,\u00a0\u00b5m', 'Status'] as readonly string[],
  digests: 'SHA-256 of the photo files',
  headDigests: ['Photo', '#Bytes', 'SHA-256'] as readonly string[],
};

const de: typeof en = {
  status: { used: 'verwendet', 'used-with-remark': 'verwendet, mit Anmerkung', 'left-out': 'weggelassen' },
  outlines: (enlargement, shown, of) =>
    `Umrisse: angepasst (gestrichelt) und gemessene Kante, deren Abweichung ${enlargement}-fach vergrößert ist; beide Maßstäbe sind eingezeichnet. Wo nichts gezeichnet ist, war die Kante zu schwach.${shown === null ? '' : ` Gezeigt: die ersten ${shown} von ${of}.`}`,
  up: (photo, number) => `${photo}: ${number} oben`,
  outline: (photo, rms) => `Umriss in Foto ${photo}; mittlere quadratische Abweichung ${rms} \u00b5m.`,
  photos: 'Fotos',
  headAll: [
    'Foto',
    '#Oben',
    '#Vorn',
    'Stand',
    '#Punkte der Karte',
    '#Streuung, px',
    '#Neigung,\u00a0\u00b0',
    '#\u00b5m/px',
    '#Unschärfe, px',
    '#Abweichung,\u00a0\u00b5m',
  ],
  head: ['Foto', '#Oben', '#Neigung,\u00a0\u00b0', '#Abweichung,\u00a0\u00b5m', 'Stand'],
  digests: 'SHA-256 der Fotodateien',
  headDigests: ['Foto', '#Bytes', 'SHA-256'],
};

/** Photos and their outlines. */
export const PHOTOS_WORDS = { en, de } satisfies Catalogue<typeof en>;
