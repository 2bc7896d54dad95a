import { advantage, meanRoll, MOST_ROLLS, rollsToNotice } from './meaning.ts';
import { chances, looksEven, type Interval, type Prediction } from './prediction.ts';

/** Two digits that matter, thousands parted. */
export function amount(x: number): string {
  if (!Number.isFinite(x)) return 'no end of';
  const digits = Number(x.toPrecision(2));
  return digits >= 1000 ? String(Math.round(digits)).replace(/\B(?=(\d{3})+$)/g, ' ') : String(digits);
}

const percent = (x: number): string => `${(100 * x).toFixed(x < 0.1 ? 2 : 1)} %`;
const signed = (x: number, digits: number): string => `${x < 0 ? '-' : '+'}${Math.abs(x).toFixed(digits)}`;
const between = ({ low, high }: Interval, show: (x: number) => string): string => `${show(low)} to ${show(high)}`;

/** What a prediction assumes, to stand beside every one. */
export const ASSUMES = 'Assumes solid, uniform material and a rigid, level table; the intervals are at 95 %.';

/** What a prediction means, in plain sentences that do not say more than it does. */
export function sentences(prediction: Prediction): string[] {
  const out = looksEven(prediction) ? [evenSentence(prediction)] : [unevenSentence(prediction)];
  const mean = meanRoll(prediction);
  const points = advantage(prediction);
  if (mean && points) {
    out.push(
      `Mean roll ${mean.value.toFixed(3)} (${between(mean, (x) => x.toFixed(3))}) against an even die's ${mean.even}; over 100 rolls that is ${signed(points.value, 1)} points (${signed(points.low, 1)} to ${signed(points.high, 1)}).`,
    );
  }
  out.push(noticeSentence(prediction), ASSUMES);
  return out;
}

function evenSentence(prediction: Prediction): string {
  const widest = Math.max(
    ...chances(prediction).map(({ value, low, high }) => Math.max(high / value - 1, 1 - low / value)),
  );
  return `By its shape it looks even: each number's interval holds 1 in ${prediction.p.length}. That is no proof of evenness; chances may still be off by ${percent(widest)} of themselves.`;
}

function unevenSentence(prediction: Prediction): string {
  const k = prediction.p.length;
  const list = chances(prediction);
  const clear = list.flatMap(({ low, high }, i) => (low > 1 / k || high < 1 / k ? [i] : []));
  const off = (i: number): number => Math.abs(Math.log(list[i].value * k));
  const worst = clear.reduce((a, b) => (off(b) > off(a) ? b : a));
  const { value } = list[worst];
  const rest = clear.length > 1 ? ` ${clear.length - 1} more of its ${k} numbers are clearly off even.` : '';
  return `${prediction.names[worst]} comes up ${percent(value)} of the time (${between(list[worst], percent)}), ${value * k > 1 ? 'more' : 'less'} often than an even die's ${percent(1 / k)}.${rest}`;
}

function noticeSentence(prediction: Prediction): string {
  const rolls = rollsToNotice(prediction);
  const range = Number.isFinite(rolls.high)
    ? `${amount(rolls.low)} to ${amount(rolls.high)}`
    : `at least ${amount(rolls.low)}`;
  if (rolls.value > MOST_ROLLS)
    return `Nothing that a test at the table could be planned for; if it is uneven after all, it takes ${range} rolls to notice.`;
  return `A test at the table would need about ${amount(rolls.value)} rolls (${range}) to notice this 4 times out of 5.`;
}
