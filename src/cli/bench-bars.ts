import { HAND, TABLE_NAMES, TABLES, type Hand, type Table } from '../bias/throws/tables.ts';
import { thrower } from '../bias/throws/throws.ts';
import { deviation, fallingShares, heldBack, slopeFit, sloped } from './bar-fit.ts';
import { bodyOf, say, type Verdict } from './bench-verdict.ts';
import { bar, barDeviance, BUDDEN } from './published-bars.ts';
import { HANDS } from './worlds.ts';

/** Least share that a deviance is computed with. */
const LEAST = 1e-4;
const ALL = BUDDEN.ratio.map((_, i) => i);

/** Worlds beside the three tables that the bars choose from: how a table and a hand may be. */
const BOUNCE = [0.15, 0.3, 0.5, 0.7];
const GRIP = [0.2, 0.4, 0.7];

function ends(table: Table, hand: Hand, throws: number): number[] {
  return BUDDEN.ratio.map((ratio) => {
    let hits = 0;
    for (const { face } of thrower(bodyOf(bar(ratio)), table, hand)(7, 0, throws)) if (face >= 4) hits++;
    return hits / throws;
  });
}

/**
 * Budden's bars: what the three tables leave, what slope and scatter the bars ask for, what the physics could do (a choice of bounce, grip and hand), each with a
 * fifth of the bars held back in turn; and the bars' scatter against what the model states.
 *
 * @param stated  The model's standard deviation as a share of the effect.
 */
export function bars(throws: number, stated: number): Verdict[] {
  const shown = (list: readonly number[]): string => list.map((p) => p.toFixed(3)).join(' ');
  say(
    `published ${shown(BUDDEN.ends)}; the best shares that fall with length: deviance ${barDeviance(fallingShares(), LEAST).toFixed(1)}`,
  );
  const tables = TABLE_NAMES.map((name) => {
    const shares = ends(TABLES[name], HAND, throws);
    say(`${name} ${shown(shares)}: deviance ${barDeviance(shares, LEAST).toFixed(1)} on 15 bars, nothing fitted`);
    return shares;
  });
  const lnOdds = (p: number): number => Math.log(Math.max(LEAST, p) / (1 - p));
  const mean = ALL.map((i) => 1 / (1 + Math.exp(-tables.reduce((s, t) => s + lnOdds(t[i]), 0) / tables.length)));
  const [free, kept] = [slopeFit(mean, null, ALL), slopeFit(mean, 1, ALL)];
  const near = ALL.filter((i) => BUDDEN.ratio[i] > 0.7 && BUDDEN.ratio[i] < 1.5);
  const nearKept = slopeFit(mean, 1, near);
  say(
    `mean of the tables: deviance ${barDeviance(mean, LEAST).toFixed(1)}; with the best slope ${free.slope.toFixed(2)}: ${barDeviance(sloped(mean, free.slope), LEAST).toFixed(1)}, scatter ${free.scatter.toFixed(2)} of the effect`,
  );
  say(
    `scatter about slope 1: ${kept.scatter.toFixed(2)} of the effect, of the bars from 0.7 to 1.5 alone ${nearKept.scatter.toFixed(2)}; the model states ${stated}`,
  );
  say(
    `deviations by what is stated: ${ALL.map((i) => deviation(mean[i], { slope: 1, scatter: stated }, i).toFixed(1)).join(' ')}`,
  );
  const held = heldBack([mean], true);
  say(
    `a fifth held back in turn, slope and scatter from the others: ${held.within} of ${held.of} within 95 %, deviance ${held.deviance.toFixed(1)}`,
  );
  physics(throws);
  const inside = ALL.filter((i) => Math.abs(deviation(mean[i], { slope: 1, scatter: stated }, i)) <= 1.96).length;
  return [
    { bar: `Budden's bars within the stated 95 %: ${inside} of 15; needed 13 to 15`, met: inside >= 13 },
    {
      bar: `stated scatter ${stated}; needed at least the bars' own near the cube, ${nearKept.scatter.toFixed(2)}, less a tenth`,
      met: stated >= 0.9 * nearKept.scatter,
    },
    { bar: `held back: ${held.within} of ${held.of} within; needed 13 to 15`, met: held.within >= 13 },
  ];
}

/** Whether another bounce, grip or hand explains the bars better, judged by bars that did not choose it. */
function physics(throws: number): void {
  const worlds = HANDS.flatMap((hand, h) =>
    BOUNCE.flatMap((e) =>
      GRIP.map((mu) => {
        const shares = ends({ e, mu, fade: 30, et: 0 }, hand, Math.ceil(throws / 10));
        return { name: `bounce ${e}, grip ${mu}, hand ${h}`, shares, deviance: barDeviance(shares, LEAST) };
      }),
    ),
  );
  const order = [...worlds].sort((a, b) => a.deviance - b.deviance);
  for (const { name, deviance } of [...order.slice(0, 4), order[order.length - 1]])
    say(`${name}: deviance ${deviance.toFixed(1)}`);
  const held = heldBack(
    worlds.map((w) => w.shares),
    false,
  );
  say(
    `world chosen by four fifths (${[...new Set(held.chosen.map((k) => worlds[k].name))].join('; ')}): held-back deviance ${held.deviance.toFixed(1)}, ${held.within} of ${held.of} within`,
  );
}
