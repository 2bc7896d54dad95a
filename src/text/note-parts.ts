import type { Note, NoteGround } from '../formats/notes.ts';
import type { Language } from './language.ts';

/** What is told for a code: what was seen and needed, and what to do. */
export interface Message {
  readonly text: string;
  readonly advice: string;
}

type Part = (value: number | string) => string;
type Parts = { readonly [G in NoteGround]: { readonly seen: Part; readonly needed: Part } };

const pair = (value: number | string): [string, string] => {
  const [up = '', ...front] = String(value).split('/');
  return [up, front.join('/')];
};
const tenths = (value: number | string): string => (typeof value === 'number' ? value.toFixed(1) : value);
const hundredths = (value: number | string): string => (typeof value === 'number' ? value.toFixed(2) : value);
/** Shares of a width beyond this are told as more than it, per cent. */
const MOST_WIDTH = 20;
const beyond = (value: number | string): boolean => typeof value === 'number' && value >= MOST_WIDTH;

const ENGLISH: Parts = {
  'up-front': {
    seen: (v) => `${pair(v)[0]} up and ${pair(v)[1]} in front`,
    needed: (v) => `${pair(v)[0]} up and ${pair(v)[1]} in front`,
  },
  front: { seen: (v) => `a front like ${v}`, needed: (v) => `${pair(v)[0]} up and ${pair(v)[1]} in front` },
  size: { seen: (v) => `a size of ${tenths(v)} mm`, needed: (v) => `${v} % from the others' size` },
  ball: { seen: () => 'corners as round as a ball', needed: (v) => `a radius of ${v} of the faces' distance` },
  'of-width': {
    seen: (v) => `${beyond(v) ? `more than ${MOST_WIDTH}` : tenths(v)} % of its width apart`,
    needed: (v) => `${tenths(v)} % of its width apart`,
  },
  'of-length': { seen: (v) => `${v} % of its length apart`, needed: (v) => `${v} % of its length apart` },
  focal: { seen: (v) => `a focal length of ${v} px`, needed: (v) => `a focal length of ${v} px` },
  'focal-apart': { seen: (v) => `a focal length ${tenths(v)} % apart`, needed: (v) => `at most ${tenths(v)} %` },
  'no-camera': {
    seen: () => 'card points that fit no common camera',
    needed: (v) => (v === '' ? '' : `${hundredths(v)} px without it`),
  },
  'points-share': { seen: (v) => `${v} % of its card points agreeing`, needed: (v) => `${v} %` },
  'points-scatter': {
    seen: (v) => `card points that agree to ${hundredths(v)} px with it`,
    needed: (v) => (v === '' ? '' : `${hundredths(v)} px without it`),
  },
  'two-cameras': { seen: () => 'card points that do not fit those of the other photo', needed: () => 'one camera' },
};

const GERMAN: Parts = {
  'up-front': {
    seen: (v) => `${pair(v)[0]} oben und ${pair(v)[1]} vorn`,
    needed: (v) => `${pair(v)[0]} oben und ${pair(v)[1]} vorn`,
  },
  front: { seen: (v) => `einer Vorderseite wie ${v}`, needed: (v) => `${pair(v)[0]} oben und ${pair(v)[1]} vorn` },
  size: { seen: (v) => `eine Größe von ${tenths(v)} mm`, needed: (v) => `${v} % von der Größe der übrigen` },
  ball: {
    seen: () => 'Ecken so rund wie eine Kugel',
    needed: (v) => `einem Radius vom ${v}-fachen des Abstands der Flächen`,
  },
  'of-width': {
    seen: (v) => `${beyond(v) ? `mehr als ${MOST_WIDTH}` : tenths(v)} % seiner Breite`,
    needed: (v) => `${tenths(v)} % seiner Breite`,
  },
  'of-length': { seen: (v) => `${v} % seiner Länge`, needed: (v) => `${v} % seiner Länge` },
  focal: { seen: (v) => `eine Brennweite von ${v} px`, needed: (v) => `eine Brennweite von ${v} px` },
  'focal-apart': {
    seen: (v) => `eine um ${tenths(v)} % andere Brennweite`,
    needed: (v) => `höchstens ${tenths(v)} %`,
  },
  'no-camera': {
    seen: () => 'Kartenpunkte, die zu keiner gemeinsamen Kamera passen,',
    needed: (v) => (v === '' ? 'eine gemeinsame' : `${hundredths(v)} px ohne es`),
  },
  'points-share': { seen: (v) => `${v} % seiner Kartenpunkte stimmig`, needed: (v) => `${v} %` },
  'points-scatter': {
    seen: (v) => `Kartenpunkte, die auf ${hundredths(v)} px zu ihm passen,`,
    needed: (v) => (v === '' ? 'weniger' : `${hundredths(v)} px ohne es`),
  },
  'two-cameras': {
    seen: () => 'Kartenpunkte, die zu denen des anderen Fotos nicht passen,',
    needed: () => 'eine einzige Kamera',
  },
};

const PARTS: Readonly<Record<Language, Parts>> = { en: ENGLISH, de: GERMAN };

/** What was seen or needed, in words where the note's ground has words for it; `missing` where the note holds nothing. */
export function notePart(note: Note, part: 'seen' | 'needed', language: Language, missing: string): string {
  const value = note[part];
  const parts = note.as !== undefined && Object.hasOwn(PARTS[language], note.as) ? PARTS[language][note.as] : null;
  // A kind of die is told as it is, whatever the ground.
  if (parts === null || (note.code === 'wrong-kind' && part === 'needed'))
    return value === undefined ? missing : String(value);
  return parts[part](value ?? '');
}
