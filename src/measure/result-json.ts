import type { Result } from '../result.ts';
import { remarkOf } from './messages.ts';
import type { MeasureFailure, MeasureResult } from '../formats/result.ts';

/** The text of a result file: the same from the page and from the command line, apart from `timing`. */
export function resultJson(measured: Result<MeasureResult, MeasureFailure>): string {
  if (measured.ok) return `${JSON.stringify(measured.value, null, 1)}\n`;
  const { photos, ...error } = measured.error;
  const told = { ...error, message: remarkOf(error) };
  return `${JSON.stringify({ format: 'evencast-result/1', error: told, photos }, null, 1)}\n`;
}
