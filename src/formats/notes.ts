import * as v from 'valibot';
import { BOUNDS } from './bounds.ts';
import { codeOf, NUMBER, text, type Of } from './parts.ts';

/** Every remark on a photo or on a set. A new one gets its words in `text/notes.ts`, English and German; types and a test ask for both. */
export const NOTE_CODES = [
  'not-an-image',
  'truncated',
  'too-large',
  'too-small',
  'heic',
  'format-unread',
  'unreadable',
  'no-card',
  'few-markers',
  'other-card',
  'mirrored',
  'card-points',
  'no-die',
  'crowded-stage',
  'several-dice',
  'die-over-ring',
  'die-cut',
  'blur',
  'burnt',
  'low-contrast',
  'no-file',
  'misfit',
  'disagrees',
  'up-doubtful',
  'other-camera',
  'edge-on',
  'unknown-number',
  'duplicate',
  'beside',
  'compressed',
  'colour-alone',
  'portrait',
  'background-blur',
  'smoothed',
  'sharpened',
  'contrast-raised',
  'noisy',
  'pattern',
  'metal',
  'scale-unchecked',
  'bars-differ',
  'card-scatter',
  'outline-scatter',
  'card-misfit',
  'outline-misfit',
  'turned-pixels',
  'moved-camera',
  'one-photo',
  'rank',
  'crown-unlikely',
  'face-unseen',
  'camera-rank',
  'no-photo',
  'sheen-unknown',
  'wrong-kind',
  'numbers-unknown',
  'front-unknown',
  'numbers-contradicted',
  'numbers-doubted',
  'other-kind',
  'kind-unknown',
  'too-long',
  'one-view',
  'bin-median',
] as const;
export type NoteCode = (typeof NOTE_CODES)[number];

/**
 * What `seen` and `needed` are, where a code has several grounds: each renders its numbers in `text/note-parts.ts`.
 *
 * `up-front`: numbers up and in front, "6/2"; `front`: a number in front, against up and front; `size`: mm, against per cent; `ball`: against a
 * share of the faces' distance; `of-width`, `of-length`: per cent of the outline's; `focal`: px; `focal-apart`: per cent; `no-camera`: against px or
 * nothing; `points-share`: per cent; `points-scatter`: px, against px or nothing; `two-cameras`: no numbers.
 */
export const NOTE_GROUNDS = [
  'up-front',
  'front',
  'size',
  'ball',
  'of-width',
  'of-length',
  'focal',
  'focal-apart',
  'no-camera',
  'points-share',
  'points-scatter',
  'two-cameras',
] as const;
export type NoteGround = (typeof NOTE_GROUNDS)[number];

export const SEEN = v.union([NUMBER, text(BOUNDS.seen)]);

/** A remark on a photo or on the set: which kind, and the numbers behind it, never a sentence; names of files and numbers of dice are text. */
export const NOTE = v.looseObject({
  code: codeOf<NoteCode>(),
  as: v.exactOptional(codeOf<NoteGround>()),
  seen: v.exactOptional(SEEN),
  needed: v.exactOptional(SEEN),
});
export type Note = Of<typeof NOTE>;
