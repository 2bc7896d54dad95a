import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { pearson } from '../src/bias/log/count-tests.ts';
import { countedChances, DECIDES, evidencePath, lnMixedEvidence } from '../src/bias/log/evidence.ts';
import { analyseLog } from '../src/bias/log/log-analysis.ts';
import { logSentences } from '../src/bias/log/log-sentences.ts';
import { faultText } from '../src/bias/messages.ts';
import { mixSigns } from '../src/bias/log/mixed-dice.ts';
import { orderTests } from '../src/bias/log/order-tests.ts';
import { readLog, type RollLog } from '../src/bias/log/roll-log.ts';
import { falseAlarms, guesses, held, LOADED } from '../src/cli/bench-logs.ts';
import { seededRandom, type Random } from '../src/maths/random.ts';

const read = (text: string, die: string | null = null): RollLog => {
  const log = readLog(text, die);
  if (!log.ok) throw new Error(faultText(log.error));
  return log.value;
};
const rolls = (count: number, faces: number, random: Random): number[] =>
  Array.from({ length: count }, () => 1 + Math.floor(faces * random()));

describe('reading', () => {
  test('any usual way of writing rolls down gives the same log', () => {
    const plain = read('3 17 20 3', 'd20');
    for (const text of [
      '3, 17, 20, 3',
      '3\n17\n20\n3\n',
      '\ufeff3;17;20;3',
      '# first\n3 17 # mine: 4\n20\r\n\r\n  3',
      '03 +17 20 3',
      '3\u00a017\t20 3',
    ])
      expect(read(text, 'd20'), text).toEqual(plain);
  });
  test('counts', () => {
    const counts = read('1: 10\n2 = 7\n3 x 5\n# none\n6: 0', 'd6');
    expect(Array.from(counts.counts)).toEqual([10, 7, 5, 0, 0, 0]);
    expect(counts.sequence).toBeNull();
  });
  test('every roll is counted or named as a stranger, none is lost', () => {
    fc.assert(
      fc.property(
        fc.array(fc.oneof(fc.integer({ min: -3, max: 30 }).map(String), fc.constantFrom('y', 'd6', '1.5', 'crit!')), {
          minLength: 1,
        }),
        (tokens) => {
          const log = readLog(tokens.join(' '), 'd20');
          const strangers = log.ok ? log.value.strangers : log.error.code === 'no-roll-fits' ? log.error.strangers : [];
          const counted = log.ok ? log.value.rolls : 0;
          expect(counted + strangers.reduce((s, x) => s + x.times, 0)).toBe(tokens.length);
          expect(counted).toBe(tokens.filter((t) => /^\d+$/.test(t) && Number(t) >= 1 && Number(t) <= 20).length);
        },
      ),
      { seed: 4, numRuns: 200 },
    );
  });
  test('strangers are named with their place', () => {
    const log = read('3 4\n21 5\n21 oops', 'd20');
    expect(log.strangers).toEqual([
      { text: '21', times: 2, line: 2 },
      { text: 'oops', times: 1, line: 3 },
    ]);
    expect(logSentences(log, analyseLog(log, 1))[0]).toContain('"21" (2 times, first in line 2)');
  });
  test('0 and 10 are one on a d10; tens are a d100', () => {
    expect(Array.from(read('0 10 9 1', 'd10').counts)).toEqual([2, 1, 0, 0, 0, 0, 0, 0, 0, 1]);
    expect(read('00 90 10 20', 'd100').rolls).toBe(4);
  });
  test('the die is guessed as the likeliest that has all numbers', () => {
    const die = (text: string): string | undefined => read(text).guessed?.die;
    expect(die('1 4 2 3')).toBe('d4');
    expect(die('1 4 2 5')).toBe('d6');
    expect(die('0 3 9')).toBe('d10');
    expect(die('12 1')).toBe('d12');
    // 10 alone may be a d10's 0; with 11 it is not.
    expect(die('11 10 3')).toBe('d12');
    expect(die('00 30 70 90')).toBe('d100');
    expect(read('1 2', 'd20').guessed).toBeNull();
  });
  test('one 20, or a 20 over and over, is no die of tens; where several fit, it is asked', () => {
    expect(read('20').guessed).toMatchObject({ die: 'd20', others: ['d100'] });
    expect(read('20 '.repeat(12)).guessed?.die).toBe('d20');
    const log = read('20 20');
    expect(logSentences(log, analyseLog(log, 1)).join(' ')).toContain('d100 would fit too');
    const sure = read(rolls(60, 20, seededRandom(4)).join(' '));
    expect(sure.guessed).toMatchObject({ die: 'd20', others: [] });
    expect(sure.guessed!.chance).toBeGreaterThan(0.99);
  });
  test('1000 generated logs of all kinds: the die is guessed right, or it is asked', () => {
    const { right, wrong, asked, missed } = guesses(1000, 12);
    expect(right + wrong + asked).toBe(1000);
    // Not asked where the chance is 0.95: of a thousand some go wrong, rightly few.
    expect(wrong).toBeLessThanOrEqual(20);
    expect(missed).toBeLessThanOrEqual(20);
    expect(asked).toBeLessThan(350);
  });
  test.each<[string, string, string | null, string]>([
    ['an empty text', '', 'd6', 'log-empty'],
    ['remarks only', '# nothing\n\n', 'd6', 'log-empty'],
    ['no roll of this die', '7 8 9', 'd6', 'no-roll-fits'],
    ['words', 'hello there', 'd6', 'no-roll-fits'],
    ['a die that is none', '1 2', 'd7', 'no-such-die'],
    ['half a count', '1: 2.5', 'd6', 'count-not-whole'],
    ['more rolls than can be counted', '1: 5\n2: 1e308', 'd6', 'count-too-large'],
    ['a text of many words', Array.from({ length: 6000 }, (_, i) => `word${i}`).join(' '), 'd6', 'too-many-words'],
    ['a negative count', '1: -2', 'd6', 'count-not-whole'],
  ])('%s is told', (_, text, die, code) => {
    const log = readLog(text, die);
    expect(!log.ok && log.error.code).toBe(code);
    expect(!log.ok && faultText(log.error)).toMatch(/.{10,}/);
  });
  test('ten million rolls are read and analysed', () => {
    const block = `${rolls(10_000, 20, seededRandom(3)).join(' ')}\n`;
    const log = read(block.repeat(1000), 'd20');
    expect(log.rolls).toBe(10_000_000);
    const analysis = analyseLog(log, 1);
    expect(analysis.exact).toBeNull();
    expect(analysis.evidence.path!.path.length).toBeLessThan(1000);
    // The same ten thousand over and over: it is uneven by a thousandfold what chance makes.
    expect(analysis.verdict).toBe('uneven');
  });
});

describe('evidence', () => {
  test('roll by roll ends where the counts alone do', () => {
    const random = seededRandom(8);
    const sequence = rolls(500, 6, random).map((r) => r - 1);
    const counts = [0, 1, 2, 3, 4, 5].map((f) => sequence.filter((r) => r === f).length);
    expect(evidencePath(sequence, 6).last).toBeCloseTo(lnMixedEvidence(counts), 9);
  });
  test('under an even die it ever reaches 20 in at most 5 % of logs (Ville)', () => {
    const random = seededRandom(21);
    for (const faces of [4, 6, 20]) {
      const met = falseAlarms(faces, 400, 1200, random);
      // 20 of 400 expected at most; two standard deviations above it are 29.
      expect(met, `d${faces}`).toBeLessThanOrEqual(28);
    }
  });
  test('it finds a die that is uneven, and one that always shows the six after six rolls', () => {
    const random = seededRandom(5);
    const loaded = Array.from({ length: 3000 }, () => (random() < 0.06 ? 5 : Math.floor(6 * random())));
    expect(evidencePath(loaded, 6).largest).toBeGreaterThan(Math.log(DECIDES));
    expect(evidencePath(Array(50).fill(5) as number[], 6).metAt).toBe(6);
  });
  test("chances by the rolls: Jeffreys' interval to the digits of its source", () => {
    // Brown, Cai and DasGupta 2001, table 5 (from memory): n 7, x 0..3.
    const rows = [
      [0, 0.292],
      [0.016, 0.501],
      [0.065, 0.648],
      [0.139, 0.766],
    ];
    rows.forEach(([low, high], x) => {
      const [seen] = countedChances([x, 7 - x]);
      expect(Math.abs(seen.low - low)).toBeLessThan(0.001);
      expect(Math.abs(seen.high - high)).toBeLessThan(0.001);
    });
  });
  test('50 sixes of 50: the interval holds "always"', () => {
    const six = countedChances([0, 0, 0, 0, 0, 50])[5];
    expect(six.high).toBe(1);
    expect(six.low).toBeGreaterThan(0.94);
    expect(countedChances([0, 0, 0, 0, 0, 50])[0].low).toBe(0);
  });
  test('intervals hold the chance in 93 to 97 of 100, from an even die to one that nearly always falls alike', () => {
    const random = seededRandom(13);
    for (const die of LOADED) {
      const share = held(die, 160, 1000, random);
      expect(share, die.join(', ')).toBeGreaterThan(0.93);
      expect(share, die.join(', ')).toBeLessThan(0.97);
    }
    expect(countedChances([0, 0, 0, 0, 0, 1000])[5].high).toBe(1);
  });
  test('a sorted list: the rule was met, and the verdict says when', () => {
    const sorted = read([1, 2, 3, 4, 5, 6].map((n) => `${n} `.repeat(100)).join(''), 'd6');
    const analysis = analyseLog(sorted, 1);
    expect(analysis.verdict).toBe('rule-met');
    const said = logSentences(sorted, analysis).join(' ');
    expect(said).toContain('was met after roll 6 ');
    expect(said).not.toContain('nothing uneven is shown');
  });
});

describe('order', () => {
  const random = seededRandom(77);
  test('of an even log shows nothing, in 200 logs about as often as chance', () => {
    const p = Array.from({ length: 200 }, () => {
      const t = orderTests(
        rolls(600, 6, random).map((r) => r - 1),
        6,
      );
      return [t.repeats!.p, t.runs!.p, t.neighbours!.p, t.alternate!.p, t.drift!.p];
    });
    [0, 1, 2, 3, 4].forEach((i) => {
      const below = p.filter((x) => x[i]! < 0.05).length;
      expect(below, `test ${i}`).toBeLessThanOrEqual(20);
      // The drift test counts all faces in and is the strict one.
      if (i < 4) expect(below, `test ${i}`).toBeGreaterThanOrEqual(2);
    });
  });
  test('repeats, runs and neighbours are seen where they are', () => {
    const sticky: number[] = [0];
    for (let i = 1; i < 1200; i++) sticky.push(random() < 0.15 ? sticky[i - 1]! : Math.floor(6 * random()));
    const t = orderTests(sticky, 6);
    expect(t.repeats!.p).toBeLessThan(1e-4);
    expect(t.repeats!.seen).toBeGreaterThan(t.repeats!.expected);
    expect(t.runs!.p).toBeLessThan(1e-3);
    expect(t.neighbours!.p).toBeLessThan(1e-3);
  });
});

describe('two dice in one log', () => {
  const random = seededRandom(31);
  const log = (list: readonly number[], die: string): RollLog => read(list.join(' '), die);
  test('one after the other', () => {
    const loaded = (n: number): number[] =>
      Array.from({ length: n }, () => (random() < 0.15 ? 6 : 1 + Math.floor(6 * random())));
    const signs = mixSigns(log([...rolls(800, 6, random), ...loaded(800)], 'd6'));
    const change = signs.find((s) => s.code === 'change');
    expect(change).toBeDefined();
    expect(change?.code === 'change' && Math.abs(change.at - 800)).toBeLessThan(250);
  });
  test('in turn', () => {
    const list = Array.from({ length: 1600 }, (_, i) =>
      i % 2 === 0 && random() < 0.15 ? 6 : 1 + Math.floor(6 * random()),
    );
    expect(mixSigns(log(list, 'd6')).map((s) => s.code)).toContain('alternate');
  });
  test("a d8 among a d20's rolls, also from counts", () => {
    const list = Array.from({ length: 1000 }, () => 1 + Math.floor((random() < 0.25 ? 8 : 20) * random()));
    const sign = mixSigns(log(list, 'd20')).find((s) => s.code === 'smaller-die');
    expect(sign?.code === 'smaller-die' && sign.faces).toBe(8);
    const counts = Array.from({ length: 20 }, (_, f) => `${f + 1}: ${list.filter((r) => r === f + 1).length}`).join(
      '\n',
    );
    expect(mixSigns(read(counts, 'd20')).map((s) => s.code)).toContain('smaller-die');
  });
  test("a larger die's numbers are asked about", () => {
    const list = log([...rolls(100, 6, random), ...rolls(60, 20, random)], 'd6');
    expect(logSentences(list, analyseLog(list, 1))[0]).toContain('two dice');
  });
  test('100 logs of one even die: hardly ever', () => {
    const warned = Array.from({ length: 100 }, () => mixSigns(log(rolls(400, 20, random), 'd20')).length).filter(
      (n) => n > 0,
    ).length;
    expect(warned).toBeLessThanOrEqual(3);
  });
});

test('a short log is said to prove little, a long uneven one is called uneven', () => {
  const short = read('1 2 3 4 5 6 6', 'd6');
  const said = logSentences(short, analyseLog(short, 1)).join(' ');
  expect(said).toContain('no proof');
  expect(said).toContain('hardly anything');
  const uneven = read('1: 100\n2: 100\n3: 100\n4: 100\n5: 100\n6: 200', 'd6');
  const analysis = analyseLog(uneven, 1);
  expect(analysis.verdict).toBe('uneven');
  expect(analysis.pearson.statistic).toBeCloseTo(
    pearson([100, 100, 100, 100, 100, 200], Array(6).fill(700 / 6) as number[]).statistic,
    9,
  );
});
