import { MOST_ROLLS } from '../../../bias/meaning/meaning.ts';
import { amount } from '../../../bias/meaning/sentences.ts';
import { told } from '../../../figures/scale.ts';
import { germanNumbers } from '../../../text/notes.ts';
import type { RollsData } from '../../record/rolls-data.ts';

const percent = (x: number): string => germanNumbers(`${(100 * x).toFixed(x < 0.1 ? 2 : 1)} %`);
/** An end that an interval does not have is open. */
const fixed = (x: number | null): string => (x === null ? 'offen' : germanNumbers(told(x, 3)));
const signed = (x: number | null): string => (x === null ? 'offen' : germanNumbers(told(x, 1, true)));
const rolls = (x: number): string => (Number.isFinite(x) ? amount(x) : 'unbegrenzt viele');

/** What a prediction means, in German, from the numbers that a report holds: the sentences among its data are English (`bias/meaning/sentences.ts`). */
export function germanSentences({ faces, looksEven, meanRoll, rollsToNotice }: RollsData): string[] {
  const out = [looksEven ? even(faces) : uneven(faces)];
  if (meanRoll) {
    const { value, low, high, even: due } = meanRoll;
    const points = [value, low, high].map((x) => signed(x === null ? null : 100 * (x - due)));
    out.push(
      `Mittlerer Wurf ${fixed(value)} (${fixed(low)} bis ${fixed(high)}) gegen ${germanNumbers(String(due))} bei einem gleichmäßigen Würfel; auf 100 Würfe sind das ${points[0]!} Punkte (${points[1]!} bis ${points[2]!}).`,
    );
  }
  const { value, low, high } = rollsToNotice;
  const range = high === null ? `mindestens ${rolls(low)}` : `${rolls(low)} bis ${rolls(high)}`;
  out.push(
    value > MOST_ROLLS
      ? `Es ist nichts da, worauf sich eine Prüfung am Tisch planen ließe; ist er doch ungleichmäßig, braucht es ${range} Würfe, um das zu bemerken.`
      : `Am Tisch bräuchte eine Prüfung etwa ${rolls(value)} Würfe (${range}), um das in 4 von 5 Fällen zu bemerken.`,
    'Angenommen sind festes, gleichmäßiges Material und ein starrer, ebener Tisch; die Intervalle gelten zu 95 %.',
  );
  return out;
}

function even(faces: RollsData['faces']): string {
  const widest = Math.max(...faces.map(({ p, low, high }) => Math.max(high / p - 1, 1 - low / p)));
  return `Der Form nach fällt er gleichmäßig: Das Intervall jeder Zahl enthält 1 von ${faces.length}. Das beweist keine Gleichmäßigkeit; Chancen können noch um ${percent(widest)} ihrer selbst daneben liegen.`;
}

function uneven(faces: RollsData['faces']): string {
  const k = faces.length;
  const off = ({ p }: (typeof faces)[number]): number => Math.abs(Math.log(p * k));
  const clear = faces.filter(({ low, high }) => low > 1 / k || high < 1 / k);
  const worst = (clear.length > 0 ? clear : faces).reduce((a, b) => (off(b) > off(a) ? b : a));
  const others = clear.length - 1;
  const rest =
    others < 1
      ? ''
      : others === 1
        ? ` 1 weitere seiner ${k} Zahlen weicht deutlich ab.`
        : ` ${others} weitere seiner ${k} Zahlen weichen deutlich ab.`;
  return `Die ${worst.name} fällt in ${percent(worst.p)} der Würfe (${percent(worst.low)} bis ${percent(worst.high)}), ${worst.p * k > 1 ? 'häufiger' : 'seltener'} als bei einem gleichmäßigen Würfel mit ${percent(1 / k)}.${rest}`;
}
