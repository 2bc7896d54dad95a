import { expect, test } from 'vitest';
import { wholeThings } from '../src/vision/whole-things.ts';

/** A thing of an area: whole, with gaps, with something taken off, or with most of its outline taken off. */
const thing = (as: 'whole' | 'gaps' | 'trimmed' | 'torn', area = 100) => ({
  solid: as !== 'gaps',
  trimmed: as === 'trimmed' || as === 'torn',
  own: as !== 'torn',
  area,
});
type Seen = Parameters<typeof wholeThings<ReturnType<typeof thing>>>[0];

/** What is seen after each number of passes, and how many were asked for. */
function played(list: readonly ReturnType<Seen>[]): { as: readonly number[]; asked: number } {
  let asked = 0;
  const found = wholeThings(
    (passes) => {
      asked = passes;
      return list[passes]!;
    },
    ({ own }) => own,
  );
  return { as: found.map(({ area }) => area), asked };
}
const clear = (...found: ReturnType<typeof thing>[]): ReturnType<Seen> => ({ found, clear: true });
const grainy = (...found: ReturnType<typeof thing>[]): ReturnType<Seen> => ({ found, clear: false });

test('an empty stage, a whole thing, and one that something was taken off are not looked at twice', () => {
  expect(played([clear()])).toEqual({ as: [], asked: 0 });
  expect(played([clear(thing('whole'))])).toEqual({ as: [100], asked: 0 });
  expect(played([grainy(thing('whole'))])).toEqual({ as: [100], asked: 0 });
  expect(played([clear(thing('trimmed'))])).toEqual({ as: [100], asked: 0 });
});

test('an outline with gaps is looked for in a smoother picture, as far as it takes', () => {
  const gaps = clear(thing('gaps'));
  expect(played([gaps, clear(thing('whole', 90))])).toEqual({ as: [90], asked: 1 });
  expect(played([gaps, gaps, gaps, clear(thing('whole', 90))])).toEqual({ as: [90], asked: 3 });
  expect(played([gaps, gaps, gaps, gaps])).toEqual({ as: [100], asked: 3 });
});

test('so is one from which grain was taken off that could not be told from it', () => {
  const fuzzy = grainy(thing('trimmed'));
  expect(played([fuzzy, fuzzy, grainy(thing('whole', 70))])).toEqual({ as: [70], asked: 2 });
  expect(played([fuzzy, clear(thing('trimmed', 70))])).toEqual({ as: [70], asked: 1 });
});

test('and one most of whose outline was taken off: that was a part of it', () => {
  const torn = clear(thing('torn', 60));
  expect(played([torn, clear(thing('whole', 90))])).toEqual({ as: [90], asked: 1 });
  expect(played([torn, torn, torn, torn])).toEqual({ as: [60], asked: 3 });
});

test('a whole speck beside a large thing with gaps is not that thing', () => {
  const speck = clear(thing('gaps'), thing('whole', 14));
  expect(played([speck, speck, speck, speck])).toEqual({ as: [100, 14], asked: 3 });
  expect(played([clear(thing('gaps'), thing('whole', 16))])).toEqual({ as: [100, 16], asked: 0 });
});
