import { formatFaultText } from '../text/format-faults.ts';
import type { Beyond } from './kernel/kernel.ts';
import type { MixSign } from './log/mixed-dice.ts';
import type { LogFault, Stranger } from './log/roll-log.ts';
import type { RecordFault } from './meaning/shape-record.ts';
import type { StackFault } from './meaning/stack.ts';

export type BiasFault = RecordFault | LogFault | StackFault | { readonly code: 'thrown-impossible' };

type Texts = { readonly [C in BiasFault['code']]: (fault: Extract<BiasFault, { code: C }>) => string };

const mm = (x: number): string => `${Number(x.toPrecision(4))} mm`;

/** What each fault is called; every code has its text. */
const TEXTS: Texts = {
  'kind-not-modelled': ({ kind }) =>
    `${kind}: not modelled. ${refusal(kind)}Modelled are d4, d6, d8, d10, d12 and d20.`,
  'count-wrong': ({ what, seen, needed }) => `${what}: ${seen} seen, ${needed} needed`,
  'not-a-length': ({ what, value }) => `${what}: ${value} is no possible length`,
  'faces-do-not-close': ({ face }) =>
    `face ${face}: with these distances the planes do not close to this kind of die; this face loses its land or cuts a corner off`,
  'radius-too-large': ({ corner, radius }) =>
    `corner ${corner}: a radius of ${mm(radius)} leaves no land between the corners`,
  'mark-impossible': ({ height, width }) =>
    `mark: ${mm(height)} high on a foot of ${mm(width)}; it can be at most half as high as wide`,
  'mark-off-face': ({ reach, land }) =>
    `mark: ${mm(reach)} from the face's middle, but the land ends ${mm(land)} from it`,
  'crown-too-high': ({ face, crown }) => `face ${face}: a crown of ${mm(crown)} is no crown any more`,
  'trim-not-an-edge': ({ faces }) => `trim: faces ${faces.join(' and ')} have no edge in common`,
  'trim-too-deep': ({ depth }) => `trim: ${mm(depth)} would cut off more than an edge`,
  'mass-outside': ({ offset }) => `centre of mass: ${offset.map(mm).join(', ')} from the middle is no die any more`,
  wrong: (f) => `no measuring result: ${formatFaultText(f, 'en')}`,
  'not-measured': ({ reason }) => `this result says that the die could not be measured (${reason})`,
  'names-do-not-fit': ({ kind, names }) =>
    `the names of faces and corners do not fit a ${kind}: ${names.slice(0, 24).join(' ')}`,
  'log-empty': () => 'the log is empty: type or paste rolls, such as 3 17 20, or counts, such as 20: 13',
  'no-such-die': ({ die, known }) => `${die}: ${known.join(', ')} are known`,
  'no-roll-fits': ({ strangers, names }) =>
    `no roll of a die with the numbers ${names[0]} to ${names[names.length - 1]} in this log; it holds ${strangersText(strangers)}`,
  'count-not-whole': ({ text, line }) => `line ${line}: "${text}" is no number with its count, such as 20: 13`,
  'count-too-large': ({ text, line, needed }) =>
    `line ${line}: with "${text}" the log has more than ${needed} rolls, which cannot be counted exactly`,
  'too-many-words': ({ line, needed }) =>
    `more than ${needed} different words by line ${line}: a log of rolls has the numbers of one die; give the rolls alone`,
  'thrown-impossible': () => 'the throws kept beside this shape are no counts of it',
  'stack-impossible': ({ what, value }) => `stack: ${value} is no possible value for ${what}`,
};

function refusal(kind: string): string {
  return /coin|barrel|d2$|d3$|cylind|log|roller/i.test(kind)
    ? 'Coins, barrels and rods are refused: against published throws of cylinders the model gives 8 % ends where 24 to 38 % were thrown. '
    : '';
}

/** A fault in plain words, with what was seen and what is needed. */
export const faultText = (fault: BiasFault): string => (TEXTS[fault.code] as (f: BiasFault) => string)(fault);

/** What was in a log and is no roll of the die. */
export function strangersText(strangers: readonly Stranger[]): string {
  const shown = strangers
    .slice(0, 5)
    .map(({ text, times, line }) => `"${text}" (${times > 1 ? `${times} times, first in ` : ''}line ${line})`);
  return shown.join(', ') + (strangers.length > 5 ? ` and ${strangers.length - 5} more` : '');
}

const percent = (x: number): string => `${Math.round(100 * x)} %`;

/** A sign of two dice in one log, in plain words. */
export function mixText(sign: MixSign): string {
  switch (sign.code) {
    case 'smaller-die':
      return `About ${percent(sign.share)} of the rolls look like a d${sign.faces}'s: are two dice in this log?`;
    case 'change':
      return `The share of ${sign.name} changes along the log, about after roll ${sign.at}: another die from there on?`;
    case 'alternate':
      return 'Every other roll seems to come from another die.';
  }
}

/** What lies outside the range that the kernel was checked in. */
export const BEYOND_TEXT: Readonly<Record<Beyond, string>> = {
  apex: 'its apex is higher or lower than that of the dice it was fitted to',
  faces: 'its faces stray farther than the dice it was fitted to',
  radius: 'its corners are sharper, rounder or more uneven than the dice it was fitted to',
  mass: 'its centre of mass is farther off than the dice it was fitted to',
  mark: 'its mark is higher than those that were thrown for it',
  crown: 'a crown is higher than those that were thrown for it',
  trim: 'its trimmed edge is deeper than those that were thrown for it',
  unevenness: 'some number would come up a quarter more or less often than even',
};
