import { parseJson, type JsonFault } from '../formats/json-text.ts';
import type { FormatFault } from '../formats/read.ts';
import { readLotFile, type Lot } from '../formats/lot.ts';
import { failure, type Result } from '../result.ts';
import { nameFault } from './family-names.ts';
import { BOUNDS } from './lot.ts';

export { lotText, readLimits } from '../formats/lot.ts';

/** Why a file is no lot. Nothing of it is used then. */
export type LotFault =
  | FormatFault
  | { readonly code: 'no-json'; readonly why: JsonFault }
  | { readonly code: 'too-large'; readonly seen: number };

/** The parsed JSON of a text, or where it breaks off. */
export function parsed(text: string): Result<unknown, LotFault> {
  if (text.length > BOUNDS.bytes) return failure({ code: 'too-large', seen: text.length });
  const json = parseJson(text);
  return json.ok ? json : failure({ code: 'no-json', why: json.error });
}

/** Reads a lot file whole or not at all. */
export const readLot = (json: unknown): Result<Lot, FormatFault> =>
  readLotFile(json, (kind, die, first) => {
    const fault = nameFault(kind, die, first);
    return fault && { ...fault, at: [fault.family] };
  });
