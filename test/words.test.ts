import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, test } from 'vitest';
import { NUMBERINGS } from '../src/geometry/numbering.ts';
import { parseJob } from '../src/formats/job.ts';
import { messageOf } from '../src/measure/messages.ts';
import { NOTE_CODES, type Note } from '../src/formats/notes.ts';
import { language } from '../src/ui/kit/language.svelte.ts';
import { reader } from '../src/ui/kit/catalogue.ts';
import { jobFaultIn } from '../src/ui/photos/job-words.ts';
import { germanPart, noteIn } from '../src/ui/kit/note-words.ts';

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

describe('remarks', () => {
  test('are worded in English as for the command line, and in German for every code', () => {
    expect(NOTE_CODES.length).toBeGreaterThan(25);
    for (const code of NOTE_CODES) {
      const note: Note = { code, seen: 3, needed: 8 };
      language.choose('en');
      expect(noteIn(note)).toEqual(messageOf(note));
      language.choose('de');
      const { text, advice } = noteIn(note);
      expect(text, code).not.toBe(messageOf(note).text);
      expect(text).toMatch(/\.$/);
      expect(advice).toMatch(/\.$/);
      // What the English tells of what was seen, the German does too.
      if (messageOf(note).text.includes('3')) expect(text, code).toContain('3');
    }
  });

  test.each([
    ['6 up and 2 in front', '6 oben und 2 vorn'],
    ['a front like 4', 'einer Vorderseite wie 4'],
    ['12.5 % of its width apart', '12,5 % seiner Breite'],
    ['more than 20 % of its width apart', 'mehr als 20 % seiner Breite'],
    ['31 % of its length apart', '31 % seiner Länge'],
    ['a size of 15.8 mm', 'eine Größe von 15,8 mm'],
    ["5 % from the others' size", '5 % von der Größe der übrigen'],
    ['corners as round as a ball', 'Ecken so rund wie eine Kugel'],
    [1.25, '1,25'],
  ])('say "%s" as "%s"', (english, german) => expect(germanPart(english)).toBe(german));

  test('leave names of files alone', () => {
    language.choose('de');
    expect(noteIn({ code: 'duplicate', seen: 'more than 1.2.jpg' }).text).toContain('more than 1.2.jpg');
  });
});

describe('faults of a job file', () => {
  const shots = [{ photo: 'a.jpg', up: 1, front: 2 }];
  test.each<[string, unknown, string]>([
    ['no object', [], 'job.json: ein Objekt ist nötig'],
    ['no die', { shots }, 'job.json: „die“ ist nicht da; eines von d4, d6, d8, d10, d12, d20 ist nötig'],
    ['a number too high', { die: 'd6', shots: [{ ...shots[0], up: 7 }] }, 'job.json: Aufnahme 1: „up“ ist 7, keine Zahl eines d6'],
    ['a bar in cm', { die: 'd6', shots, checkBar: 10 }, 'job.json: eine Prüfstrecke muss eine Länge von 80 bis 125 mm haben (Nennmaß 100)'],
    ['an apex', { die: 'd6', shots, apex: 1 }, 'job.json: „apex“ gilt für einen d10, Höhe der Spitze durch Radius des Gürtels, 0,8 bis 1,25'],
    ['a numbering of another die', { die: 'd6', shots, numbering: NUMBERINGS.d8 }, 'job.json: Nummerierung: 8 Zahlen gesehen, 6 nötig'],
  ])('are worded in German: %s', (_what, json, expected) => {
    const job = parseJob(json);
    language.choose('de');
    expect(job.ok ? 'fine' : jobFaultIn(job.error)).toBe(expected);
  }); // prettier-ignore
});
