import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { DIE_KINDS, dieSolid } from '../src/geometry/solid.ts';
import { analyseLot } from '../src/lots/analysis.ts';
import { demoLot, DEMO } from '../src/lots/demo-lot.ts';
import { dieFromResult } from '../src/lots/die-record.ts';
import type { Lot } from '../src/lots/lot.ts';
import { addDie } from '../src/lots/lot-edit.ts';
import { lotText, parsed, readLimits, readLot } from '../src/lots/read-lot.ts';
import { formatFaultText } from '../src/text/format-faults.ts';
import { seededNormal, seededRandom } from '../src/maths/random.ts';

const lot = demoLot();
const text = lotText(lot);

/** The lot file with one place changed; undefined takes it out. */
function changed(path: readonly (string | number)[], value: unknown): unknown {
  const file = JSON.parse(text) as Record<string, unknown>;
  let at = file as Record<string | number, unknown>;
  for (const p of path.slice(0, -1)) at = at[p] as Record<string | number, unknown>;
  if (value === undefined) delete at[path.at(-1)!];
  else at[path.at(-1)!] = value;
  return file;
}

/** Whether the demo's file has such a place: what may be left out is left out there in places. */
const present = (path: readonly (string | number)[]): boolean =>
  path.reduce((at: unknown, p) => (at as Record<string | number, unknown> | null)?.[p] ?? null, JSON.parse(text)) !==
  null;

describe('lot file', () => {
  test('gives the lot again, and the same text', () => {
    const back = readLot(JSON.parse(text));
    expect(back).toEqual({ ok: true, value: lot });
    if (back.ok) expect(lotText(back.value)).toBe(text);
    expect(lotText(demoLot())).toBe(text);
    expect(lotText(demoLot(21))).not.toBe(text);
  });

  test.each<[string, readonly (string | number)[], unknown, string]>([
    ['another format', ['format'], 'evencast-result/1', 'format'],
    ['no kind', ['die'], undefined, 'die'],
    ['a coin', ['die', 'kind'], 'coin', 'die.kind'],
    ['dice that are no list', ['dice'], { length: 3 }, 'dice'],
    ['a die that is no object', ['dice', 7], 'x', 'dice[7]'],
    ['no label', ['dice', 0, 'label'], undefined, 'dice[0].label'],
    ['a label of blanks', ['dice', 0, 'label'], '  ', 'dice[0].label'],
    ['a label twice', ['dice', 5, 'label'], lot.dice[2]!.label, 'dice[5].label'],
    ['a length as text', ['dice', 3, 'axes', 2, 'value'], '20.1', 'dice[3].axes[2].value'],
    ['a length below zero', ['dice', 3, 'axes', 2, 'value'], -1, 'dice[3].axes[2].value'],
    ['a length of null', ['dice', 3, 'corners', 11, 'value'], null, 'dice[3].corners[11].value'],
    ['a length like a house', ['dice', 3, 'meanAxis', 'value'], 4000, 'dice[3].meanAxis.value'],
    ['an uncertainty below zero', ['dice', 3, 'faces', 0, 'u'], -0.1, 'dice[3].faces[0].u'],
    ['an axis missing', ['dice', 3, 'axes'], lot.dice[3]!.axes.slice(1), 'dice[3].axes'],
    ['other names', ['dice', 3, 'axes', 2, 'name'], '1-6', 'dice[3].axes'],
    ['half a cavity', ['dice', 3, 'cavity'], 1.5, 'dice[3].cavity'],
    ['a time below zero', ['dice', 3, 'time'], -1, 'dice[3].time'],
    ['no doubt', ['dice', 3, 'doubt', 'axes'], undefined, 'dice[3].doubt.axes'],
    ['limits the wrong way round', ['limits', 'meanAxis'], { lower: 21, upper: 20 }, 'limits.meanAxis'],
    ['a limit as text', ['limits', 'meanAxis', 'upper'], '20', 'limits.meanAxis.upper'],
    ['a lot of half a die', ['size'], 0.5, 'size'],
    ['a name like a book', ['name'], 'x'.repeat(1000), 'name'],
  ])('%s: refused whole, the place named', (_, path, value, place) => {
    const out = readLot(changed(path, value));
    expect(out).toMatchObject({ ok: false, error: { code: 'wrong', place } });
  });

  test.each([[null], [1], ['x'], [[]], [{}]])('%j is no lot', (json) => expect(readLot(json).ok).toBe(false));

  test('text that is no JSON: where it breaks off', () => {
    const out = parsed(text.slice(0, 5000));
    expect(out).toMatchObject({ ok: false, error: { code: 'no-json' } });
  });

  test('names that are special to the language are names', () => {
    const file = text.replace('"name": "Harbour', '"__proto__": { "size": 3 }, "constructor": 1, "name": "Harbour');
    const out = readLot(JSON.parse(file));
    expect(out).toEqual({ ok: true, value: lot });
  });

  test('what is not seen in a text is taken out of it', () => {
    const out = readLot(changed(['dice', 0, 'label'], '<b>\u001b[31m\u202eH-01\u0000'));
    expect(out.ok && out.value.dice[0]!.label).toBe('<b> [31m H-01 ');
  });

  test('whatever stands in a place, it is read or refused, never thrown at', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(
          ['name'],
          ['size'],
          ['limits'],
          ['dice'],
          ['dice', 0],
          ['dice', 1, 'axes'],
          ['dice', 1, 'doubt'],
          ['dice', 2, 'time'],
        ),
        fc.jsonValue(),
        (path, value) => {
          const out = readLot(changed(path, value));
          if (!out.ok) expect(formatFaultText(out.error, 'de')).toMatch(/^.+: .+ gefunden, nötig: .+/);
        },
      ),
      { numRuns: 60, seed: 4 },
    );
  });

  // The published schema and the reader say the same of what is needed: without a required member the reader refuses, without another not.
  test('schema and reader agree on what is needed', () => {
    const schema = JSON.parse(readFileSync(join(import.meta.dirname, '../public/lot.schema.json'), 'utf8')) as Schema;
    const walk = (s: Schema, path: (string | number)[]): void => {
      const bare = s.anyOf?.find((one) => one.type !== 'null') ?? s;
      const own = bare.$ref === undefined ? bare : schema.$defs![bare.$ref.split('/').at(-1)!]!;
      for (const [name, inner] of Object.entries(own.properties ?? {})) {
        const needed = own.required?.includes(name) === true;
        expect([...path, name, readLot(changed([...path, name], undefined)).ok]).toEqual([...path, name, !needed]);
        if (present([...path, name])) walk(inner, [...path, name]);
      }
      if (own.items) walk(own.items, [...path, 0]);
    };
    walk(schema, []);
  });
});

interface Schema {
  readonly type?: string;
  readonly anyOf?: readonly Schema[];
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly required?: readonly string[];
  readonly items?: Schema;
  readonly $ref?: string;
  readonly $defs?: Readonly<Record<string, Schema>>;
}

test('limits alone', () => {
  const limits = { axis: { lower: 19.9, upper: 20.1 } };
  const out = readLimits({ format: 'evencast-lot-limits/1', limits });
  expect(out.ok && [out.value.axis, out.value.corner]).toEqual([limits.axis, { lower: null, upper: null }]);
  expect(readLimits({ limits })).toMatchObject({ ok: false, error: { place: 'format' } });
});

describe('a die from a result', () => {
  const named = (names: readonly string[], value: number, field: string, u: number) =>
    names.map((name) => ({ name, [field]: value, u }));
  const axes = ['1-6', '2-5', '3-4'];
  // Common part 0.006, differences 0.004 beside it.
  const covariance = axes.map((_, i) => axes.map((_n, j) => 0.006 ** 2 + (i === j ? 0.004 ** 2 : 0) - 0.004 ** 2 / 3));
  const result = {
    format: 'evencast-result/1',
    die: { kind: 'd6' },
    axes: named(axes, 16, 'length', 0.007),
    axesCovariance: covariance,
    faces: named(['1', '2', '3', '4', '5', '6'], 8, 'distance', 0.004),
    corners: named(['1-2-3', '1-2-4', '1-3-5', '1-4-5', '2-3-6', '2-4-6', '3-5-6', '4-5-6'], 1, 'radius', 0.02),
    meanAxis: { value: 16, u: 0.006 },
    rangeOfAxes: { value: 0.01, u: 0.005 },
    meanCornerRadius: { value: 1, u: 0.01 },
  };
  test('common and differing parts as the covariance has them; without a budget the common repeats, the rest does not', () => {
    const out = dieFromResult(result, 'one');
    if (!out.ok) throw new Error(JSON.stringify(out.error));
    const { axes: doubt } = out.value.die.doubt;
    expect(doubt.repeatedMean).toBeCloseTo(0.006, 8);
    expect(doubt.ownDifference).toBeCloseTo(0.004, 8);
    expect([doubt.ownMean, doubt.repeatedDifference]).toEqual([0, 0]);
    expect(out.value).toMatchObject({ kind: 'd6', die: { label: 'one', cavity: null, time: null } });
  });
  test('with a budget: noise is drawn anew, the scale repeats', () => {
    const line = { meanAxis: 0.003, difference: 0.003, meanRadius: 0.003 };
    const budget = [
      { source: 'noise', ...line },
      { source: 'scale', ...line },
      { source: 'edge', ...line },
      { source: 'camera', ...line },
    ];
    const out = dieFromResult({ ...result, budget }, 'one');
    if (!out.ok) throw new Error(JSON.stringify(out.error));
    const { axes: doubt } = out.value.die.doubt;
    expect(doubt.ownMean).toBeCloseTo(0.006 * Math.SQRT1_2, 8);
    expect(doubt.repeatedDifference).toBeCloseTo(0.004 * Math.SQRT1_2, 8);
  });
  test.each<[string, unknown, object]>([
    [
      'a failure',
      { format: 'evencast-result/1', error: { code: 'no-card' } },
      { code: 'not-measured', reason: 'no-card' },
    ],
    ['another file', { format: 'x' }, { code: 'wrong', place: 'format' }],
    [
      'a broken length',
      { ...result, axes: [{ name: '1-6', length: 'x', u: 0 }] },
      { code: 'wrong', place: 'axes[0].length' },
    ],
    ['a short covariance', { ...result, axesCovariance: [[1]] }, { code: 'wrong', place: 'axesCovariance' }],
  ])('%s: refused', (_, json, error) => expect(dieFromResult(json, 'x')).toMatchObject({ ok: false, error }));
});

describe.each(DIE_KINDS)('a lot of %s', (kind) => {
  const solid = dieSolid(kind);
  const opposite = (f: number): number => solid.opposite[f]!;
  const axes =
    kind === 'd4'
      ? solid.labels.map((l) => `${l}-corner`)
      : solid.labels.flatMap((l, f) => (f < opposite(f) ? [`${l}-${solid.labels[opposite(f)]}`] : []));
  const normal = seededNormal(seededRandom(6));
  const measured = (): unknown => {
    const lengths = (names: readonly string[], field: string, size: number) =>
      names.map((name) => ({ name, [field]: size + 0.01 * normal(), u: 0.005 }));
    return {
      format: 'evencast-result/1',
      die: { kind },
      axes: lengths(axes, 'length', 18),
      faces: lengths(solid.labels, 'distance', 9),
      corners: lengths(
        solid.corners.map((c) => c.name),
        'radius',
        0.8,
      ),
      meanAxis: { value: 18, u: 0.004 },
      rangeOfAxes: { value: 0.02, u: 0.005 },
      meanCornerRadius: { value: 0.8, u: 0.005 },
    };
  };
  test('is made of results, goes through its file, and is analysed', () => {
    let made: Lot = { ...lot, kind, dice: [] };
    for (let i = 0; i < 6; i++) {
      const die = dieFromResult(measured(), `die ${i}`);
      if (!die.ok) throw new Error(JSON.stringify(die.error));
      const added = addDie(made, die.value.kind, die.value.die);
      if (!added.ok) throw new Error(JSON.stringify(added.error));
      made = added.value;
    }
    expect(readLot(JSON.parse(lotText(made)))).toEqual({ ok: true, value: made });
    const { components, summaries } = analyseLot(made);
    expect(summaries).toHaveLength(3 + axes.length + solid.corners.length + solid.labels.length);
    expect(components.axes).not.toBeNull();
    expect(addDie(made, kind === 'd6' ? 'd8' : 'd6', made.dice[0]!)).toMatchObject({
      ok: false,
      error: { code: 'other-kind' },
    });
  });
});

describe('the invented lot, whose causes are known', () => {
  const analysis = analyseLot(lot);
  test('names the odd die by the axis that was ground, and no other', () => {
    expect(analysis.outlierTest).toBe('esd');
    expect(analysis.outliers.map((o) => [o.label, o.key])).toEqual([[DEMO.odd, 'axis 4-17']]);
  });
  test('cavities differ in size and in axes, and not in radius', () => {
    const differs = analysis.cavities.filter((c) => c.p < 0.05).map((c) => c.key);
    expect(differs).toContain('meanAxis');
    expect(differs).not.toContain('meanCornerRadius');
  });
  test('most of the axes comes from the mould, most of the corners from the time', () => {
    const most = (family: 'axes' | 'corners'): string =>
      analysis.components[family]!.components.reduce((p, q) => (q.share > p.share ? q : p)).source;
    expect([most('axes'), most('corners')]).toEqual(['pattern', 'time']);
    for (const c of Object.values(analysis.components))
      expect(c!.components.reduce((s, p) => s + p.share, 0)).toBeCloseTo(1, 12);
  });
  test('dice near a limit are undecided, by the quantity that is near it', () => {
    const { conformity } = analysis;
    expect(conformity!.within + conformity!.undecided + conformity!.outside).toBe(40);
    for (const die of conformity!.dice) expect(die.because.length > 0).toBe(die.verdict !== 'within');
  });
  test.each([0, 1, 2])('of %i dice all that can be told is told, nothing is thrown', (n) => {
    const few = analyseLot({ ...lot, dice: lot.dice.slice(0, n) });
    expect(few.summaries).toHaveLength(n === 0 ? 0 : 3 + 10 + 12 + 20);
    expect(few.outliers).toEqual([]);
    expect(JSON.stringify(few)).not.toContain('NaN');
    if (n < 2) expect(few.components.axes).toBeNull();
  });
  test('dice all alike: no spread, no trend, no capability, and no fault', () => {
    const same = lot.dice.map((d, i) => ({ ...lot.dice[0]!, label: String(i), cavity: d.cavity, time: d.time }));
    const out = analyseLot({ ...lot, dice: same });
    expect(out.summaries.every((s) => s.spread!.value < 1e-9 && s.capability === null)).toBe(true);
    expect(out.outliers).toEqual([]);
    expect(out.cavities).toEqual([]);
  });
});
