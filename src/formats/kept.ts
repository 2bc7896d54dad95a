import * as v from 'valibot';
import { BOUNDS } from './bounds.ts';
import { MOST_BIN_PHOTOS, BIN_PHOTO } from './bin.ts';
import { FINISHES, HAND_TESTS, JOB, MOST_SHOTS } from './job.ts';
import {
  crossed,
  APEX,
  COUNT,
  dieFault,
  KIND,
  LABEL,
  LINE,
  list,
  NUMBERING,
  text,
  TRUE_OR_FALSE,
  type Of,
} from './parts.ts';
import { MARK, PHOTO, RESULT } from './result.ts';

/*
 * What the page keeps in the browser and puts into a die's file.
 *
 * Version and upgrade path: every record bears RECORDS, which is raised with every change of these fields except that a field with a default may be
 * added; `ui/store/upgrade.ts` takes an older one step by step to this version before it is read here. What is inside a result or a job follows their own formats.
 */

/** Layout of the records below. */
export const RECORDS = 2;
/** Longest roll log that is kept, characters. */
export const LONGEST_LOG = 2_000_000;

const ID = v.pipe(v.string(), v.regex(/^[0-9a-z-]{8,40}$/));
const MOMENT = v.pipe(v.number(), v.minValue(0));
const VERSION = v.literal(RECORDS);

/** A photo of a die's set, and what the person said about it; its file is a record of its own. */
const SHOT = v.object({
  photo: ID,
  name: LINE,
  up: LABEL,
  front: LABEL,
  chosen: TRUE_OR_FALSE,
  included: TRUE_OR_FALSE,
});
export type ShotRecord = Of<typeof SHOT>;

/** Lengths of the check bars and their doubt, mm, as typed. */
const BARS = v.object({ x: text(20), y: text(20), u: text(20) });

/** What a person said of the marks that were found: which are none, and which others there are. */
export const JUDGED_MARKS = v.object({
  rejected: list(v.pick(MARK, ['face', 'place']), BOUNDS.marks),
  added: list(MARK, BOUNDS.marks),
});
export type JudgedMarks = Of<typeof JUDGED_MARKS>;
export const NO_JUDGED_MARKS: JudgedMarks = { rejected: [], added: [] };

const DIE_FIELDS = v.object({
  version: VERSION,
  id: ID,
  /** Raised with every write: a tab that knows another one does not write over it. */
  revision: COUNT,
  name: text(120),
  kind: KIND,
  numbering: v.nullable(NUMBERING),
  /** Of a d10, see `Job`. */
  apex: v.nullable(APEX),
  /** How its faces were finished and what it does on glass, see `Job`; null where nobody said. */
  finish: v.optional(v.nullable(v.picklist(FINISHES)), null),
  handTest: v.optional(v.nullable(v.picklist(HAND_TESTS)), null),
  marks: v.optional(JUDGED_MARKS, NO_JUDGED_MARKS),
  shots: list(SHOT, MOST_SHOTS * 4),
  /** Shots that a job file names. */
  said: list(v.object({ photo: LINE, up: LABEL, front: LABEL }), MOST_SHOTS),
  /** The printed card in use; null where the die has bars of its own. */
  card: v.nullable(ID),
  bars: BARS,
  /** Rolls as typed. */
  log: text(LONGEST_LOG),
  /** Whether it was being measured when this was written: then that goes on. */
  measuring: TRUE_OR_FALSE,
  /** Milliseconds since 1970. */
  made: MOMENT,
  changed: MOMENT,
  /** When the person removed it; it goes for good some time later. */
  removed: v.nullable(MOMENT),
});
export type DieRecord = Of<typeof DIE_FIELDS>;

/** One die: all that was entered about it. Its numbering is that of a die, its apex that of a d10, and no two shots are of one photo. */
export const DIE = crossed(DIE_FIELDS, ({ kind, numbering, apex, shots }) => {
  const need = dieFault(kind, numbering, apex);
  if (need) return { at: [need], need };
  const ids = new Map(shots.map(({ photo }, i) => [photo, i] as const));
  const twin = shots.findIndex(({ photo }, i) => ids.get(photo) !== i);
  return twin < 0 ? null : { at: ['shots', ids.get(shots[twin]!.photo)!, 'photo'], need: 'unlike' };
});

/** What was found about a die: verdicts on its photos by their ids, and the last result with the job that it is of. */
export const FOUND = v.object({
  version: VERSION,
  /** The die's. */
  id: ID,
  judged: v.record(ID, PHOTO),
  outcome: v.nullable(v.object({ job: JOB, result: RESULT })),
});
export type FoundRecord = Of<typeof FOUND>;

/** A printed card with its check bars as measured. */
export const CARD_RECORD = v.object({
  version: VERSION,
  id: ID,
  revision: COUNT,
  name: text(120),
  bars: BARS,
  made: MOMENT,
});
export type CardRecord = Of<typeof CARD_RECORD>;

/** Behind the name of a room: what it kept and could not show is kept on, and is opened by no room. */
export const ASIDE = '-aside';

/** Something that a room keeps: a report's choices, a lot, a bin's tally. What it holds, the room's own schema checks. */
export const ROOM_RECORD = v.object({
  version: VERSION,
  id: ID,
  revision: COUNT,
  room: v.pipe(v.string(), v.regex(/^[a-z]{1,20}(-aside)?$/)),
  changed: MOMENT,
  data: v.unknown(),
});
export type RoomRecord = Of<typeof ROOM_RECORD>;

/** Most photos of a bin that the page holds at once. */
export const MOST_PHOTOS = Math.min(200, MOST_BIN_PHOTOS);

const TYPED = text(BOUNDS.label);
const VERDICT = BIN_PHOTO.entries.dice.pipe[0].item.entries.verdict;

/** What is kept of the bin's room: what was typed, the verdicts of the program and of the person. Photos themselves are not kept. */
export const KEPT_BIN = v.object({
  kind: KIND,
  size: TYPED,
  radius: TYPED,
  limits: v.object({ size: TYPED, radius: TYPED, departure: TYPED }),
  /** Lengths of the card's check bars. */
  bars: v.optional(v.object({ x: TYPED, y: TYPED }), { x: '', y: '' }),
  sounds: TRUE_OR_FALSE,
  photos: v.optional(
    v.pipe(
      list(BIN_PHOTO, MOST_PHOTOS),
      v.check((all) => new Set(all.map((p) => p.photo)).size === all.length, 'unlike'),
    ),
    [],
  ),
  /** The person's verdicts: of which photo and which die in it, as JSON. */
  steps: v.optional(
    list(
      v.object({
        key: v.pipe(text(400), v.regex(/^\["(?:[^"\\]|\\["\\/bfnrt]|\\u[0-9a-f]{4})*",\d{1,4}\]$/i)),
        verdict: VERDICT,
      }),
      20_000,
    ),
    [],
  ),
});
export type KeptBin = Of<typeof KEPT_BIN>;
