import type { BinMatching, Reason, ReasonCode } from '../formats/bin.ts';
import type { Language } from './language.ts';
import { germanNumbers } from './notes.ts';

type Words<T> = (of: T) => string;
type Part = Reason['seen'];
const mm = (v: Part): string => (typeof v === 'number' ? v.toFixed(2) : String(v ?? ''));
const text = (v: Part): string => String(v ?? '');

const ENGLISH: { readonly [K in ReasonCode]: Words<Reason> } = {
  within: () => 'within all limits in this view',
  size: (r) => `size ${mm(r.seen)} mm off the reference, limit ${mm(r.limit)} mm`,
  radius: (r) => `corner radius ${mm(r.seen)}, limit ${mm(r.limit)} mm`,
  departure: (r) => `out of round: outline departs ${mm(r.seen)} mm from a true die, limit ${mm(r.limit)} mm`,
  'near-size': (r) => `size ${mm(r.seen)} mm off the reference: too near the limit of ${mm(r.limit)} mm to tell`,
  'near-radius': (r) => `corner radius ${mm(r.seen)} mm: too near the limit of ${mm(r.limit)} mm to tell`,
  'near-departure': (r) =>
    `outline departs ${mm(r.seen)} mm from a true die: too near the limit of ${mm(r.limit)} mm to tell`,
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

const GERMAN: { readonly [K in ReasonCode]: Words<Reason> } = {
  within: () => 'in dieser Ansicht innerhalb aller Grenzen',
  size: (r) => `Maß um ${mm(r.seen)} mm vom Vorbild, Grenze ${mm(r.limit)} mm`,
  radius: (r) => `Eckenradius ${mm(r.seen)}, Grenze ${mm(r.limit)} mm`,
  departure: (r) => `unrund: Umriss um ${mm(r.seen)} mm vom wahren Würfel, Grenze ${mm(r.limit)} mm`,
  'near-size': (r) => `Maß um ${mm(r.seen)} mm vom Vorbild: zu nah an der Grenze von ${mm(r.limit)} mm`,
  'near-radius': (r) => `Eckenradius ${mm(r.seen)} mm: zu nah an der Grenze von ${mm(r.limit)} mm`,
  'near-departure': (r) => `Umriss um ${mm(r.seen)} mm vom wahren Würfel: zu nah an der Grenze von ${mm(r.limit)} mm`,
  'no-reference': (r) =>
    `${text(r.seen)} Würfel geben kein übliches Maß; ${text(r.limit)} werden gebraucht, oder ein Nennmaß`,
  touching: () => 'berührt oder verdeckt seinen Nachbarn; auseinanderlegen',
  'other-kind': (r) => `sieht aus wie ein ${text(r.seen)}, nicht wie ein ${text(r.limit)}`,
  round: (r) => `ein rundes flaches Ding von ${text(r.seen)} mm, wie eine Münze`,
  shadow: () => 'ein Schatten, oder ein Ding genau in der Farbe der Bühne; weicheres Licht nehmen',
  'reaching-in': () => 'etwas ragt von außen herein, wie eine Hand',
  'no-die': (r) =>
    `der Umriss ist kein Würfel dieser Art: ${text(r.seen)} seiner Breite entfernt, höchstens ${text(r.limit)}`,
  hidden: (r) =>
    r.seen === undefined
      ? 'zu wenig seines Umrisses ist frei; zur Mitte legen'
      : `${text(r.seen)} % seines Umrisses sind frei, ${text(r.limit)} % werden gebraucht; zur Mitte legen`,
  small: (r) => `${text(r.seen)} px breit, ${text(r.limit)} werden gebraucht; näher heran oder weniger Würfel`,
  faint: () => 'sein Rand hebt sich kaum von der Bühne ab; eine Bühne anderer Farbe nehmen',
  disagrees: (r) => `passt nicht zum Würfel an dieser Stelle im anderen Foto: ${text(r.seen)}`,
};

/** One reason in words; the code itself where a later version wrote it. */
export function reasonText(r: Reason, language: Language = 'en'): string {
  if (!isReasonCode(r.code)) return String(r.code);
  return language === 'de' ? germanNumbers(GERMAN[r.code](r)) : ENGLISH[r.code](r);
}

/** Whether a text from elsewhere is the code of a reason. */
export const isReasonCode = (code: unknown): code is ReasonCode =>
  typeof code === 'string' && Object.hasOwn(ENGLISH, code);

/** What a keeper was held against, mm: size off the reference (null without one), corner radius, departure, each with its limit. */
export interface KeptNumbers {
  readonly size: readonly [number, number] | null;
  readonly radius: readonly [number, number];
  readonly departure: readonly [number, number];
}

/** Two digits, and no minus before nothing. */
const plain = (v: number): string => (Math.round(100 * v) / 100 || 0).toFixed(2);

/** Why a die is kept, with its numbers. */
export function keptText({ size, radius, departure }: KeptNumbers): string {
  const sized = size ? `size ${plain(size[0])} mm off the reference, limit ${size[1].toFixed(2)} mm; ` : '';
  return `${reasonText({ code: 'within' })}: ${sized}corner radius ${radius[0].toFixed(2)}, limit ${radius[1].toFixed(2)} mm; outline departs ${departure[0].toFixed(3)} mm, limit ${departure[1].toFixed(3)} mm`;
}

type Matched = Pick<BinMatching, 'code' | 'seen' | 'needed' | 'photos'>;

/** Whether photos of the same dice could be matched, and if not why, in words. */
export function matchText({ code, seen, needed, photos }: Matched, language: Language = 'en'): string {
  const [one, other] = photos ?? [];
  const [s, n] = [text(seen), text(needed)];
  const words =
    language === 'de'
      ? {
          matched: `${s} Fotos nach dem Ort der Würfel einander zugeordnet`,
          'one-photo': 'nicht zugeordnet: nur ein Foto',
          counts: `nicht zugeordnet: ${one} zeigt ${s} Würfel, ${other} zeigt ${n}`,
          places: `nicht zugeordnet: ${one}: Die Würfel liegen nicht, wo sie in ${other} lagen`,
          unlike: `nicht zugeordnet: ${one}: Der Würfel bei (${s}) mm hat ein anderes Maß oder eine andere Rundung als der in ${other}; es ist nicht derselbe`,
        }
      : {
          matched: `${s} photos matched by place`,
          'one-photo': 'not matched: one photo alone: nothing to match',
          counts: `not matched: ${one} shows ${s} dice, ${other} shows ${n}`,
          places: `not matched: ${one}: the dice do not lie where they lay in ${other}`,
          unlike: `not matched: ${one}: the die at (${s}) mm is of another size or rounding than that in ${other}; it is not the same`,
        };
  return code !== undefined && Object.hasOwn(words, code) ? words[code] : String(code ?? '');
}
