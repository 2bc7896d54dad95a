import { escapedJson } from '../formats/json-text.ts';
import type { Result } from '../result.ts';
import { remarkOf } from '../text/notes.ts';
import type { MeasureFailure, MeasureResult, PhotoResult } from '../formats/result.ts';

/** A failure of measuring, or of what comes before it and brings its own message. */
export type AnyFailure =
  | (MeasureFailure & { readonly message?: string })
  | (Omit<MeasureFailure, 'code'> & { readonly code: string; readonly message: string });

/** The text of a result file: the same from the page and from the command line, apart from `timing`. */
export function resultJson(measured: Result<MeasureResult, AnyFailure>): string {
  if (measured.ok) return `${escapedJson(JSON.stringify(withNumbers(measured.value), null, 1))}\n`;
  const { photos, ...error } = measured.error;
  const told = { ...error, message: error.message ?? remarkOf(error as MeasureFailure) };
  return `${escapedJson(JSON.stringify(withNumbers({ format: 'evencast-result/1', error: told, photos }), null, 1))}\n`;
}

type NumberedPhoto = Pick<PhotoResult, 'photo' | 'up' | 'front' | 'numbersFrom' | 'numbersChance'>;

/** Photos' numbers as a file gives them: bare numbers as in a job, null where not known. */
export function withNumbers<T extends { readonly photos: readonly NumberedPhoto[] }>(value: T): object {
  const bare = (label: string): string | number | null =>
    label === '' ? null : /^(0|[1-9]\d*)$/.test(label) ? Number(label) : label;
  const photos = value.photos.map(({ up, front, numbersFrom = null, numbersChance = null, photo, ...rest }) => ({
    ...{ photo, up: bare(up), front: bare(front), numbersFrom, numbersChance },
    ...rest,
  }));
  return { ...value, photos };
}
