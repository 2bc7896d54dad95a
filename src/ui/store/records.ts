import * as v from 'valibot';
import { DIE_KINDS } from '../../geometry/solid.ts';
import { MOST_SHOTS } from '../../formats/job.ts';
import { JOB, JUDGED, LABEL, NUMBERING, RESULT, text } from './measured-records.ts';

/** Layout of the records below. Raised with every change of their fields; `upgrade.ts` reads the older ones. */
export const RECORDS = 2;

/** Longest roll log that is kept, characters. */
export const LONGEST_LOG = 2_000_000;

const ID = v.pipe(v.string(), v.regex(/^[0-9a-z-]{8,40}$/));
const MOMENT = v.pipe(v.number(), v.finite(), v.minValue(0));
const REVISION = v.pipe(v.number(), v.integer(), v.minValue(0));

/** A photo of a die's set, and what the person said about it; its file is a record of its own. */
export const SHOT = v.object({
  photo: ID,
  name: text(255),
  up: LABEL,
  front: LABEL,
  chosen: v.boolean(),
  included: v.boolean(),
});

/** Lengths of the check bars and their doubt, mm, as typed. */
export const BARS = v.object({ x: text(20), y: text(20), u: text(20) });

/** One die: all that was entered about it. */
export const DIE = v.object({
  version: v.literal(RECORDS),
  id: ID,
  /** Raised with every write: a tab that knows another one does not write over it. */
  revision: REVISION,
  name: text(120),
  kind: v.picklist(DIE_KINDS),
  numbering: v.nullable(NUMBERING),
  /** Of a d10, see `Job`. */
  apex: v.nullable(v.pipe(v.number(), v.finite())),
  shots: v.pipe(v.array(SHOT), v.maxLength(MOST_SHOTS * 4)),
  /** Shots that a job file names. */
  said: v.pipe(v.array(v.object({ photo: text(255), up: LABEL, front: LABEL })), v.maxLength(MOST_SHOTS)),
  /** The printed card in use; null where the die has bars of its own. */
  card: v.nullable(ID),
  bars: BARS,
  /** Rolls as typed. */
  log: text(LONGEST_LOG),
  /** Whether it was being measured when this was written: then that goes on. */
  measuring: v.boolean(),
  /** Milliseconds since 1970. */
  made: MOMENT,
  changed: MOMENT,
  /** When the person removed it; it goes for good some time later. */
  removed: v.nullable(MOMENT),
});
export type DieRecord = v.InferOutput<typeof DIE>;
export type ShotRecord = v.InferOutput<typeof SHOT>;

/** What was found about a die: verdicts on its photos by their ids, and the last result with the job that it is of. */
export const FOUND = v.object({
  version: v.literal(RECORDS),
  /** The die's. */
  id: ID,
  judged: v.record(ID, JUDGED),
  outcome: v.nullable(v.object({ job: JOB, result: RESULT })),
});
export type FoundRecord = v.InferOutput<typeof FOUND>;

/** A printed card with its check bars as measured. */
export const CARD_RECORD = v.object({
  version: v.literal(RECORDS),
  id: ID,
  revision: REVISION,
  name: text(120),
  bars: BARS,
  made: MOMENT,
});
export type CardRecord = v.InferOutput<typeof CARD_RECORD>;

/** A photo's file. */
export interface PhotoRecord {
  readonly id: string;
  readonly die: string;
  readonly name: string;
  readonly file: Blob;
}

/** A photo made small, so that lists need not decode it again. */
export interface ThumbnailRecord {
  readonly id: string;
  readonly die: string;
  readonly file: Blob;
}

/** Something that a room keeps: a report's choices, a lot, a bin's tally. What it holds, the room itself checks. */
export const ROOM_RECORD = v.object({
  version: v.literal(RECORDS),
  id: ID,
  revision: REVISION,
  room: v.pipe(v.string(), v.regex(/^[a-z]{1,20}$/)),
  changed: MOMENT,
  data: v.unknown(),
});
export type RoomRecord = v.InferOutput<typeof ROOM_RECORD>;

/** An id that nobody else has. Works without a secure origin too. */
export function newId(): string {
  return [...crypto.getRandomValues(new Uint8Array(12))].map((byte) => byte.toString(16).padStart(2, '0')).join('');
}
