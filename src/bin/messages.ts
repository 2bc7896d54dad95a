import type { Reason, ReasonCode } from './types.ts';

const mm = (v: Reason['seen']): string => (typeof v === 'number' ? v.toFixed(2) : String(v ?? ''));
const text = (v: Reason['seen']): string => String(v ?? '');

/** The words of each reason; they live here alone. */
const WORDS: { readonly [K in ReasonCode]: (r: Reason) => string } = {
  within: () => 'within all limits in this view',
  size: (r) => `size ${mm(r.seen)} mm off the reference, limit ${mm(r.limit)} mm`,
  radius: (r) => `corner radius ${mm(r.seen)}, limit ${mm(r.limit)} mm`,
  departure: (r) => `out of round: outline departs ${mm(r.seen)} mm from a true die, limit ${mm(r.limit)} mm`,
  'no-reference': (r) => `${text(r.seen)} dice give no usual size; ${text(r.limit)} are needed, or a nominal size`,
  touching: () => 'touches or covers its neighbour; part them',
  'other-kind': (r) => `looks like a ${text(r.seen)}, not a ${text(r.limit)}`,
  round: (r) => `a round flat thing of ${text(r.seen)} mm, like a coin`,
  shadow: () => 'a shadow, or a thing of the very colour of the stage; use softer light',
  'reaching-in': () => 'something reaches in from outside the stage, like a hand',
  'no-die': (r) => `the outline is no die of this kind: ${text(r.seen)} of its width apart, ${text(r.limit)} at most`,
  hidden: (r) =>
    r.seen === undefined
      ? 'too little of its outline is free; move it to the middle'
      : `${text(r.seen)} % of its outline is free, ${text(r.limit)} % is needed; move it to the middle`,
  small: (r) => `${text(r.seen)} px across, ${text(r.limit)} are needed; go nearer or use fewer dice`,
  faint: () => 'its edge hardly differs from the stage; use a stage of another colour',
  disagrees: (r) => `does not agree with the die at this place in the other photo: ${text(r.seen)}`,
};

/** One reason in words. */
export const reasonText = (r: Reason): string => (isReasonCode(r.code) ? WORDS[r.code](r) : String(r.code));

/** Whether a text from elsewhere is the code of a reason. */
export const isReasonCode = (code: unknown): code is ReasonCode =>
  typeof code === 'string' && Object.prototype.hasOwnProperty.call(WORDS, code);
