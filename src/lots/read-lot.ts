import { DIE_KINDS } from '../geometry/solid.ts';
import { jsonFaultText, parseJson } from '../formats/json-text.ts';
import { failure, success, type Result } from '../result.ts';
import type { Limits } from './capability.ts';
import { BOUNDS, LIMITED, type Doubt, type Length, type Lot, type LotDie, type LotLimits } from './lot.ts';
import { nameFault } from './family-names.ts';
import { attempt, Part, refuse, type Wrong } from './reading.ts';

export const LOT_FORMAT = 'evencast-lot/1';
export const LIMITS_FORMAT = 'evencast-lot-limits/1';

/** Why a file is no lot. Nothing of it is used then. */
export type LotFault =
  Wrong | { readonly code: 'no-json'; readonly detail: string } | { readonly code: 'too-large'; readonly seen: number };

/** The parsed JSON of a text, or where it breaks off. */
export function parsed(text: string): Result<unknown, LotFault> {
  if (text.length > BOUNDS.bytes) return failure({ code: 'too-large', seen: text.length });
  const json = parseJson(text);
  return json.ok ? json : failure({ code: 'no-json', detail: jsonFaultText(json.error) });
}

/** Reads a lot file whole or not at all. */
export function readLot(json: unknown): Result<Lot, LotFault> {
  return wrapped(() => lotOf(new Part(json)));
}

/** Reads limits alone: `{ "format": "evencast-lot-limits/1", "limits": { "axis": { "lower": 19.9, "upper": 20.1 } } }`. */
export function readLimits(json: unknown): Result<LotLimits, LotFault> {
  return wrapped(() => {
    const file = new Part(json);
    file.at('format').oneOf([LIMITS_FORMAT]);
    return limitsOf(file.at('limits'));
  });
}

function wrapped<T extends object>(read: () => T): Result<T, LotFault> {
  const out = attempt(read);
  return 'code' in out && out.code === 'wrong' ? failure(out as Wrong) : success(out as T);
}

/** Text of a lot file; `readLot` of it gives the lot again. */
export const lotText = (lot: Lot): string => {
  const { kind, ...rest } = lot;
  return `${JSON.stringify({ format: LOT_FORMAT, die: { kind }, ...rest }, null, 1)}\n`;
};

function lotOf(file: Part): Lot {
  file.at('format').oneOf([LOT_FORMAT]);
  const kind = file.at('die').at('kind').oneOf(DIE_KINDS);
  const dice = file.at('dice').list(0, BOUNDS.dice).map(dieOf);
  const labels = new Map<string, number>();
  dice.forEach((die, i) => {
    const before = labels.get(die.label);
    if (before !== undefined) refuse(`dice[${i}].label`, `a label unlike that of dice[${before}]`, die.label);
    labels.set(die.label, i);
    const fault = nameFault(kind, die, dice[0]!);
    if (fault) refuse(`dice[${i}].${fault.family}`, fault.needed, fault.seen);
  });
  return {
    name: file.at('name').optional((p) => p.text()) ?? '',
    note: file.at('note').optional((p) => p.text(BOUNDS.note)) ?? '',
    kind,
    timeUnit: file.at('timeUnit').optional((p) => p.text(20)) ?? 'h',
    size: file.at('size').optional((p) => p.whole(1, BOUNDS.size)),
    limits: limitsOf(file.at('limits')),
    dice,
  };
}

/** Limits by what they limit; what is left out has none. */
export function limitsOf(part: Part): LotLimits {
  const one = (own: Part): Limits => {
    if (own.missing) return { lower: null, upper: null };
    const end = (name: string): number | null => own.at(name).optional((q) => q.number(0, BOUNDS.length));
    const [lower, upper] = [end('lower'), end('upper')];
    if (lower !== null && upper !== null && lower >= upper) refuse(own.place, 'lower below upper', own.value);
    return { lower, upper };
  };
  return Object.fromEntries(
    LIMITED.map((name) => [name, part.missing ? { lower: null, upper: null } : one(part.at(name))]),
  ) as unknown as LotLimits;
}

const length = (part: Part, least = 0): number => part.number(least, BOUNDS.length);
const quantity = (part: Part): { value: number; u: number } => ({
  value: length(part.at('value')),
  u: length(part.at('u')),
});

function dieOf(part: Part): LotDie {
  const label = part.at('label').text(80);
  if (label.trim() === '') refuse(part.at('label').place, 'a text that can be seen', label);
  const lengths = (name: string): Length[] =>
    part
      .at(name)
      .list(1, 60)
      .map((p) => ({ name: p.at('name').text(40), value: length(p.at('value')), u: length(p.at('u')) }));
  const doubt = part.at('doubt');
  return {
    label,
    cavity: part.at('cavity').optional((p) => p.whole(1, 9999)),
    time: part.at('time').optional((p) => p.number(0, BOUNDS.time)),
    card: part.at('card').optional((p) => p.text(80)),
    axes: lengths('axes'),
    faces: lengths('faces'),
    corners: lengths('corners'),
    meanAxis: quantity(part.at('meanAxis')),
    rangeOfAxes: quantity(part.at('rangeOfAxes')),
    meanCornerRadius: quantity(part.at('meanCornerRadius')),
    doubt: {
      axes: doubtOf(doubt.at('axes')),
      faces: doubtOf(doubt.at('faces')),
      corners: doubtOf(doubt.at('corners')),
    },
  };
}

const doubtOf = (part: Part): Doubt => ({
  ownMean: length(part.at('ownMean')),
  ownDifference: length(part.at('ownDifference')),
  repeatedMean: length(part.at('repeatedMean')),
  repeatedDifference: length(part.at('repeatedDifference')),
});
