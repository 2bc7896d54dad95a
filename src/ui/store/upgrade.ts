import type { GenericSchema, InferOutput } from 'valibot';
import { read as readAs, type FormatFault } from '../../formats/read.ts';
import { failure, success, type Result } from '../../result.ts';
import { CARD_RECORD, DIE, FOUND, RECORDS, ROOM_RECORD } from './records.ts';
import type { CardRecord, DieRecord, FoundRecord, RoomRecord } from './records.ts';

type Fields = Record<string, unknown>;

/** From a version to the next, for each kind of record: what its fields become. The key is the version it starts from. */
const DIE_STEPS: Readonly<Record<number, (die: Fields) => Fields>> = {
  // Version 1 kept no roll log and no removed dice.
  1: (die) => ({ ...die, log: '', removed: null }),
};
const OTHER_STEPS: Readonly<Record<number, (record: Fields) => Fields>> = { 1: (record) => record };

/** Why a record cannot be read: a place in it departs from its format, or a later version of the page wrote it. */
export type RecordFault =
  | FormatFault
  | { readonly code: 'newer'; readonly place: string; readonly seen: number }
  /** It is of its format, but cannot be laid out. */
  | { readonly code: 'broken'; readonly place: string; readonly detail: string };

const wrong = (place: string, need: FormatFault['need']): Result<never, RecordFault> =>
  failure({ code: 'wrong', place, need, seen: null });

/** A record of any version, as one of this version. */
function upgraded(record: unknown, steps: typeof DIE_STEPS): Result<Fields, RecordFault> {
  if (typeof record !== 'object' || record === null || Array.isArray(record)) return wrong('', 'object');
  let fields = record as Fields;
  const { version } = fields;
  if (typeof version !== 'number' || !Number.isInteger(version) || version < 1) return wrong('version', 'whole');
  if (version > RECORDS) return failure({ code: 'newer', place: 'version', seen: version });
  for (let from = version; from < RECORDS; from++) fields = { ...steps[from]!(fields), version: from + 1 };
  return success(fields);
}

function read<S extends GenericSchema>(
  schema: S,
  record: unknown,
  steps: typeof DIE_STEPS,
): Result<InferOutput<S>, RecordFault> {
  const current = upgraded(record, steps);
  return current.ok ? readAs(schema, current.value) : current;
}

/** Records as they lie in the store or in a file of dice, brought up to date; what is of a later version, or broken, is told and left as it is. */
export const readDie = (record: unknown): Result<DieRecord, RecordFault> => read(DIE, record, DIE_STEPS);
export const readFound = (record: unknown): Result<FoundRecord, RecordFault> => read(FOUND, record, OTHER_STEPS);
export const readCard = (record: unknown): Result<CardRecord, RecordFault> => read(CARD_RECORD, record, OTHER_STEPS);
export const readRoom = (record: unknown): Result<RoomRecord, RecordFault> => read(ROOM_RECORD, record, OTHER_STEPS);
