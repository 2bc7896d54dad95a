import * as v from 'valibot';
import { DIE_KINDS } from '../../geometry/solid.ts';
import { isReasonCode } from '../../bin/messages.ts';
import type { BinPhoto, ReasonCode } from '../../bin/types.ts';

/** Most photos held at once by the page. */
export const MOST_PHOTOS = 200;

const text = (most: number) => v.pipe(v.string(), v.maxLength(most));
const NUMBER = v.pipe(v.number(), v.finite());
const SEEN = v.exactOptional(v.union([NUMBER, text(300)]));
const QUANTITY = v.nullable(v.object({ value: NUMBER, u: NUMBER }));
const TYPED = text(12);

const DIE = v.looseObject({
  x: NUMBER,
  y: NUMBER,
  size: QUANTITY,
  radius: QUANTITY,
  departure: QUANTITY,
  verdict: v.picklist(['keep', 'look-again', 'reject']),
  sure: v.nullable(NUMBER),
  reason: text(1000),
  reasons: v.pipe(
    v.array(v.object({ code: v.custom<ReasonCode>(isReasonCode), seen: SEEN, limit: SEEN })),
    v.minLength(1),
    v.maxLength(20),
  ),
  outline: v.pipe(v.array(NUMBER), v.maxLength(400)),
});

const PHOTO = v.pipe(
  v.looseObject({
    photo: text(255),
    status: v.picklist(['judged', 'judged-with-remark', 'left-out']),
    code: v.nullable(text(40)),
    remark: v.nullable(text(2000)),
    notes: v.pipe(v.array(v.object({ code: text(40), seen: SEEN, needed: SEEN })), v.maxLength(20)),
    width: NUMBER,
    height: NUMBER,
    dice: v.pipe(v.array(DIE), v.maxLength(200)),
  }),
  v.transform((photo) => photo as unknown as BinPhoto),
);

/** What is kept of the room: what was typed, the verdicts of the program and of the person. Photos themselves are not kept. */
export const KEPT_BIN = v.object({
  kind: v.picklist(DIE_KINDS),
  size: TYPED,
  radius: TYPED,
  limits: v.object({ size: TYPED, radius: TYPED, departure: TYPED }),
  sounds: v.boolean(),
  photos: v.optional(v.pipe(v.array(PHOTO), v.maxLength(MOST_PHOTOS)), []),
  steps: v.optional(
    v.pipe(
      v.array(v.object({ key: text(400), verdict: v.picklist(['keep', 'look-again', 'reject']) })),
      v.maxLength(20_000),
    ),
    [],
  ),
});
export type KeptBin = v.InferOutput<typeof KEPT_BIN>;
