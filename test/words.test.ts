import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, test } from 'vitest';
import { NUMBERINGS } from '../src/geometry/numbering.ts';
import { JOB_CODES, parseJob } from '../src/formats/job.ts';
import { NOTE_CODES, NOTE_GROUNDS, type Note } from '../src/formats/notes.ts';
import { NEEDS } from '../src/formats/read.ts';
import { formatFaultText } from '../src/text/format-faults.ts';
import { jobMessage } from '../src/text/job-faults.ts';
import { messageOf } from '../src/text/notes.ts';
import { language } from '../src/ui/kit/language.svelte.ts';
import { reader } from '../src/ui/kit/catalogue.ts';
import { jobFaultIn } from '../src/ui/kit/job-words.ts';
import { noteIn } from '../src/ui/kit/note-in.ts';

afterEach(() => language.choose('en'));

const folder = join(import.meta.dirname, '../src/ui');

/** Every catalogue of the page: an export with words in `en` and `de`. */
const catalogues = await Promise.all(
  readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((file) => /-?words\.ts$/.test(file))
    .map(async (file) => {
      const module = (await import(/* @vite-ignore */ join(folder, file))) as Record<string, unknown>;
      return Object.entries(module).flatMap(([name, value]) =>
        typeof value === 'object' && value !== null && 'en' in value && 'de' in value
          ? [[`${file} ${name}`, value as { en: unknown; de: unknown }] as const]
          : [],
      );
    }),
);

type Leaf = readonly [path: string, value: unknown];
const leaves = (value: unknown, path = ''): Leaf[] =>
  typeof value === 'object' && value !== null
    ? Object.entries(value).flatMap(([key, inner]) => leaves(inner, `${path}.${key}`))
    : [[path, value]];

describe.each(catalogues.flat())('%s', (_name, { en, de }) => {
  test('has every word in both languages, none of them empty, and as many words to fill in', () => {
    const [english, german] = [leaves(en), leaves(de)];
    expect(german.map(([path]) => path).sort()).toEqual(english.map(([path]) => path).sort());
    const of = new Map(german);
    for (const [path, value] of english) {
      const other = of.get(path);
      expect(typeof other, path).toBe(typeof value);
      if (typeof value === 'string' && value !== '') expect(other, path).not.toBe('');
      if (typeof value === 'function')
        expect((other as (...a: unknown[]) => unknown).length, path).toBeLessThanOrEqual(value.length);
    }
  });
});

test('there are catalogues to hold', () => {
  expect(catalogues.flat().length).toBeGreaterThanOrEqual(5);
});

test('a reader follows the language in use', () => {
  const words = reader({ en: { yes: 'yes' }, de: { yes: 'ja' } });
  expect(words.yes).toBe('yes');
  language.choose('de');
  expect(words.yes).toBe('ja');
});

/** Words of a language in a text: what is shared by both (formats, units, names of things) is left out. */
const SHARED = new Set('heic jpeg png format'.split(' '));
const wordsOf = (text: string): string[] =>
  (text.toLowerCase().match(/[a-zäöüß]{4,}/g) ?? []).filter((word) => !SHARED.has(word));

/** A German sentence holds no word of four letters or more that the English of the same code has. */
function noEnglish(german: string, english: string, code: string): void {
  const known = new Set(wordsOf(english));
  expect(
    wordsOf(german).filter((word) => known.has(word) && !ALIKE.has(word)),
    code,
  ).toEqual([]);
}
/** Words that both languages write alike. */
const ALIKE = new Set('radius sigma text name form filter beauty version json'.split(' '));

describe('remarks', () => {
  const grounds = [undefined, ...NOTE_GROUNDS];

  test.each(NOTE_CODES)(
    '%s is worded in both languages, whatever its ground, and no English reaches a German',
    (code) => {
      for (const as of grounds) {
        const note: Note = { code, seen: 3, needed: 8, ...(as === undefined ? {} : { as }) };
        const [english, german] = [messageOf(note, 'en'), messageOf(note, 'de')];
        for (const { text, advice } of [english, german]) {
          expect(text, code).toMatch(/\.$/);
          expect(advice, code).toMatch(/\.$/);
          expect(text + advice, code).not.toMatch(/undefined|NaN|null/);
        }
        noEnglish(`${german.text} ${german.advice}`, `${english.text} ${english.advice}`, `${code} ${as}`);
        // What the English tells of what was seen, the German does too.
        if (english.text.includes('3')) expect(german.text, code).toContain('3');
      }
    },
  );

  test('the page words them in the language in use', () => {
    language.choose('de');
    expect(noteIn({ code: 'blur', seen: 1.25, needed: 2 })).toEqual(
      messageOf({ code: 'blur', seen: 1.25, needed: 2 }, 'de'),
    );
    expect(noteIn({ code: 'blur', seen: 1.25, needed: 2 }).text).toContain('1,25');
  });

  test.each<[Note, string, string]>([
    [
      { code: 'up-doubtful', as: 'up-front', seen: '6/2', needed: '5/3' },
      'with 6 up and 2 in front than with 5 up and 3 in front',
      'zu 6 oben und 2 vorn als zu 5 oben und 3 vorn',
    ],
    [
      { code: 'up-doubtful', as: 'front', seen: '4', needed: '5/3' },
      'with a front like 4 than',
      'zu einer Vorderseite wie 4 als',
    ],
    [
      { code: 'misfit', as: 'of-width', seen: 12.5, needed: 5 },
      '12.5 % of its width apart; up to 5.0 % of its width apart',
      '12,5 % seiner Breite; bis 5,0 % seiner Breite',
    ],
    [
      { code: 'misfit', as: 'of-width', seen: 31, needed: 5 },
      'more than 20 % of its width',
      'mehr als 20 % seiner Breite',
    ],
    [{ code: 'misfit', as: 'of-length', seen: 41, needed: 40 }, '41 % of its length apart', '41 % seiner Länge'],
    [
      { code: 'misfit', as: 'size', seen: 15.8, needed: 5 },
      "a size of 15.8 mm; up to 5 % from the others' size",
      'eine Größe von 15,8 mm; bis 5 % von der Größe der übrigen',
    ],
    [
      { code: 'misfit', as: 'ball', needed: 0.6 },
      'corners as round as a ball; up to a radius of 0.6',
      'Ecken so rund wie eine Kugel; bis einem Radius vom 0,6-fachen',
    ],
    [
      { code: 'other-camera', as: 'focal', seen: 2050, needed: 3000 },
      'a focal length of 2050 px seen, a focal length of 3000 px needed',
      'eine Brennweite von 2050 px gesehen, eine Brennweite von 3000 px nötig',
    ],
    [
      { code: 'other-camera', as: 'points-scatter', seen: 0.31, needed: 0.1 },
      'agree to 0.31 px with it seen, 0.10 px without it needed',
      'auf 0,31 px zu ihm passen, gesehen, 0,10 px ohne es nötig',
    ],
    [
      { code: 'other-camera', as: 'two-cameras' },
      'those of the other photo seen, one camera needed',
      'denen des anderen Fotos nicht passen, gesehen, eine einzige Kamera nötig',
    ],
    [
      { code: 'wrong-kind', as: 'ball', needed: 'd20' },
      'with a d20: corners as round as a ball',
      'zu einem d20: Ecken so rund wie eine Kugel',
    ],
  ])('%o', (note, english, german) => {
    expect(messageOf(note, 'en').text).toContain(english);
    expect(messageOf(note, 'de').text).toContain(german);
  });

  test('have 0 where a number is not said, and nothing where a name is not', () => {
    expect(messageOf({ code: 'blur' }, 'de').text).toMatch(/\b0\b/);
    expect(messageOf({ code: 'no-file' }, 'de').text).not.toMatch(/0/);
  });

  test('leave names of files alone', () => {
    expect(messageOf({ code: 'duplicate', seen: 'more than 1.2.jpg' }, 'de').text).toContain('more than 1.2.jpg');
  });

  test('of a later version are shown by their code', () => {
    const later = JSON.parse('{ "code": "unheard-of", "seen": 4 }') as Note;
    expect(messageOf(later).text).toContain('unheard-of (4)');
    expect(messageOf(later, 'de').text).toContain('unheard-of (4)');
  });
});

describe('faults of files', () => {
  test.each(NEEDS)('need "%s" in both languages', (need) => {
    const fault = { code: 'wrong', place: 'x[0]', need, limit: 3, seen: null } as const;
    const [english, german] = [formatFaultText(fault, 'en'), formatFaultText(fault, 'de')];
    expect(english).toMatch(/^x\[0\]: nothing found, .+ needed$/);
    expect(german).toMatch(/^x\[0\]: nichts gefunden, nötig: .+$/);
    if (need !== 'one-of') noEnglish(german.replace(/true|false|sigma/gi, ''), english, need);
  });
  test.each(JOB_CODES)('job fault "%s" in both languages', (code) => {
    const fault = { code, shot: 1, field: 'up', seen: 3, needed: 8 } as const;
    const [english, german] = [jobMessage(fault, 'en'), jobMessage(fault, 'de')];
    // Names of entries stand in quotes in both.
    const bare = (text: string): string => text.replace(/["„][a-z]+["“]/gi, '').replace('job.json', '');
    noEnglish(bare(german), bare(english), code);
  });
});

describe('faults of a job file', () => {
  const shots = [{ photo: 'a.jpg', up: 1, front: 2 }];
  test.each<[string, unknown, string]>([
    ['no object', [], 'job.json: ein Objekt ist nötig'],
    ['no die', { shots }, 'job.json: „die“ ist nicht da; eines von d4, d6, d8, d10, d12, d20 ist nötig'],
    [
      'a number too high',
      { die: 'd6', shots: [{ ...shots[0], up: 7 }] },
      'job.json: Aufnahme 1: „up“ ist 7, keine Zahl eines d6',
    ],
    [
      'a bar in cm',
      { die: 'd6', shots, checkBar: 10 },
      'job.json: eine Prüfstrecke muss eine Länge von 80 bis 125 mm haben (Nennmaß 100)',
    ],
    [
      'an apex',
      { die: 'd6', shots, apex: 1 },
      'job.json: „apex“ gilt für einen d10, Höhe der Spitze durch Radius des Gürtels, 0,8 bis 1,25',
    ],
    [
      'a numbering of another die',
      { die: 'd6', shots, numbering: NUMBERINGS.d8 },
      'job.json: Nummerierung: 8 Zahlen gesehen, 6 nötig',
    ],
  ])('are worded in German: %s', (_what, json, expected) => {
    const job = parseJob(json);
    language.choose('de');
    expect(job.ok ? 'fine' : jobFaultIn(job.error)).toBe(expected);
  });
});
