import * as v from 'valibot';
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

/** Why a record cannot be read: the place in it, and what was needed there. */
export interface RecordFault {
  /** `newer`: written by a later version of the page. */
  readonly code: 'broken' | 'newer';
  readonly place: string;
  readonly detail: string;
}

/** A record of any version, as one of this version. */
function upgraded(record: unknown, steps: typeof DIE_STEPS): Result<Fields, RecordFault> {
  if (typeof record !== 'object' || record === null || Array.isArray(record))
    return failure({ code: 'broken', place: '', detail: 'an object is needed' });
  let fields = record as Fields;
  const { version } = fields;
  if (typeof version !== 'number' || !Number.isInteger(version) || version < 1)
    return failure({ code: 'broken', place: 'version', detail: 'a version number is needed' });
  if (version > RECORDS)
    return failure({ code: 'newer', place: 'version', detail: `${version} seen, at most ${RECORDS} can be read` });
  for (let from = version; from < RECORDS; from++) fields = { ...steps[from]!(fields), version: from + 1 };
  return success(fields);
}

function read<S extends v.GenericSchema>(
  schema: S,
  record: unknown,
  steps: typeof DIE_STEPS,
): Result<v.InferOutput<S>, RecordFault> {
  const current = upgraded(record, steps);
  if (!current.ok) return current;
  const parsed = v.safeParse(schema, current.value, { abortEarly: true });
  if (parsed.success) return success(parsed.output);
  const [issue] = parsed.issues;
  return failure({ code: 'broken', place: v.getDotPath(issue) ?? '', detail: issue.message });
}

export const readDie = (record: unknown): Result<DieRecord, RecordFault> => read(DIE, record, DIE_STEPS);
export const readFound = (record: unknown): Result<FoundRecord, RecordFault> => read(FOUND, record, OTHER_STEPS);
export const readCard = (record: unknown): Result<CardRecord, RecordFault> => read(CARD_RECORD, record, OTHER_STEPS);
export const readRoom = (record: unknown): Result<RoomRecord, RecordFault> => read(ROOM_RECORD, record, OTHER_STEPS);
