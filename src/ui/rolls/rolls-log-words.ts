import type { LogFinding } from '../../bias/log/log-findings.ts';
import { MOST_ROLLS } from '../../bias/meaning/meaning.ts';
import type { MixSign } from '../../bias/log/mixed-dice.ts';
import type { Stranger } from '../../bias/log/roll-log.ts';
import { decimal, percent } from '../kit/format.ts';
import { reader } from '../kit/catalogue.ts';

type Finding<C extends LogFinding['code']> = Extract<LogFinding, { code: C }>;
type Findings = { readonly [C in LogFinding['code']]: (finding: Finding<C>) => string };

const whole = (n: number): string => decimal(n, 0);
/** Two digits that matter. */
export const roughly = (n: number): string =>
  n > MOST_ROLLS ? `> ${decimal(MOST_ROLLS, 0)}` : decimal(Number(n.toPrecision(2)), n < 10 ? 1 : 0);
export const probability = (p: number): string =>
  p < 0.0001 ? `< ${decimal(0.0001, 4)}` : decimal(p, p < 0.01 ? 4 : 2);
/** An e-value by its logarithm. */
export const evidenceValue = (ln: number): string =>
  ln > 20 ? `e^${whole(ln)}` : decimal(Math.exp(ln), ln > 4.6 ? 0 : 2);
const share = (x: number): string => percent(x, 1);
const SHOWN = 5;

const strangersEn = (list: readonly Stranger[]): string =>
  list
    .slice(0, SHOWN)
    .map(({ text, times, line }) => `“${text}” (${times > 1 ? `${whole(times)} times, first in ` : ''}line ${line})`)
    .join(', ') + (list.length > SHOWN ? ` and ${list.length - SHOWN} more` : '');

const strangersDe = (list: readonly Stranger[]): string =>
  list
    .slice(0, SHOWN)
    .map(({ text, times, line }) => `„${text}“ (${times > 1 ? `${whole(times)}-mal, zuerst in ` : ''}Zeile ${line})`)
    .join(', ') + (list.length > SHOWN ? ` und ${list.length - SHOWN} weitere` : '');

const mixEn = (sign: MixSign): string => {
  switch (sign.code) {
    case 'smaller-die':
      return `About ${percent(sign.share)} of the rolls look like a d${sign.faces}'s: are two dice in this log?`;
    case 'change':
      return `The share of ${sign.name} changes along the log, about after roll ${whole(sign.at)}: another die from there on?`;
    case 'alternate':
      return 'Every other roll seems to come from another die.';
  }
};

const mixDe = (sign: MixSign): string => {
  switch (sign.code) {
    case 'smaller-die':
      return `Etwa ${percent(sign.share)} der Würfe sehen nach einem d${sign.faces} aus: Stehen zwei Würfel in dieser Liste?`;
    case 'change':
      return `Der Anteil der ${sign.name} ändert sich im Verlauf, etwa nach Wurf ${whole(sign.at)}: Von da an ein anderer Würfel?`;
    case 'alternate':
      return 'Jeder zweite Wurf scheint von einem anderen Würfel zu kommen.';
  }
};

const findingsEn: Findings = {
  'not-counted': ({ strangers, otherDie }) =>
    `Not counted, because the die has no such number: ${strangersEn(strangers)}.${otherDie ? ' Are two dice in this log, or was another die meant?' : ''}`,
  guessed: ({ faces, first, last }) => `The die was guessed from the numbers: ${faces} faces, ${first} to ${last}.`,
  'which-die': ({ die, chance, others }) =>
    `Which die it was is not certain: ${die} with probability ${decimal(chance, 2)}, but ${others.join(', ')} would fit too. Say which.`,
  mixed: ({ sign }) => mixEn(sign),
  uneven: ({ rolls, p, seen, expected }) =>
    `${whole(rolls)} rolls: an even die strays this far with probability ${probability(p)}; its numbers differ by ${share(seen)} (root mean square), chance alone makes about ${share(expected)}.`,
  'not-shown': ({ rolls, p, few, moreRolls }) =>
    `${whole(rolls)} rolls: nothing uneven is shown (probability ${probability(p)} for an even die to stray this far). That is no proof of evenness.${few ? ' So few rolls can show hardly anything.' : ''}${moreRolls === null ? '' : ` If the die were as uneven as it looks, about ${roughly(moreRolls)} more rolls would show it 4 times out of 5.`}`,
  'rule-met': ({ rolls, p, at, ln }) =>
    `The rule that may be watched while rolling was met${at === null ? '' : ` after roll ${whole(at)}`} (evidence ${evidenceValue(ln)}; 20 decides at 5 %): these are not an even die's rolls in their order, though all ${whole(rolls)} together show nothing (probability ${probability(p)}). A die or a hand that changed, or a list that was sorted, would look so.`,
  evidence: ({ ln, largest, metAt }) =>
    `Evidence against evenness that may be watched while rolling: ${evidenceValue(ln)} (20 or more decides at 5 %, whenever it comes)${largest ? `; at most ${evidenceValue(largest.ln)} after roll ${whole(largest.at)}` : ''}${metAt === null ? '' : `; it decided after roll ${whole(metAt)}`}.`,
  repeats: ({ seen, expected }) =>
    `A number repeats the one before ${whole(seen)} times where ${whole(expected)} are expected: were all rolls written down, and shaken?`,
  neighbours: ({ p }) => `Each roll depends on the one before (p ${probability(p)}): a die's rolls do not.`,
  runs: ({ seen, expected }) =>
    `High and low numbers ${seen > expected ? 'change places too often' : 'come in runs that are too long'}: ${whole(seen)} runs, ${whole(expected)} expected.`,
  disagree: ({ p }) =>
    `Shape and rolls disagree (p ${probability(p)}): a void or a wrong record on one side, a hand or a table that differs on the other.`,
  agree: ({ p }) => `Shape and rolls agree (p ${probability(p)}).`,
  'cannot-tell': ({ p, power, moreRolls }) =>
    `Shape and rolls do not contradict each other (p ${probability(p)}), but these rolls could tell the prediction from an even die only with probability ${decimal(power, 2)}; ${moreRolls === null ? 'no number of rolls that anyone makes would' : `about ${roughly(moreRolls)} more would decide`}.`,
};

const findingsDe: Findings = {
  'not-counted': ({ strangers, otherDie }) =>
    `Nicht gezählt, weil der Würfel keine solche Zahl hat: ${strangersDe(strangers)}.${otherDie ? ' Stehen zwei Würfel in dieser Liste, oder war ein anderer gemeint?' : ''}`,
  guessed: ({ faces, first, last }) => `Der Würfel ist aus den Zahlen erraten: ${faces} Flächen, ${first} bis ${last}.`,
  'which-die': ({ die, chance, others }) =>
    `Welcher Würfel es war, ist nicht sicher: ${die} mit Wahrscheinlichkeit ${decimal(chance, 2)}, doch auch ${others.join(', ')} würde passen. Geben Sie an, welcher.`,
  mixed: ({ sign }) => mixDe(sign),
  uneven: ({ rolls, p, seen, expected }) =>
    `${whole(rolls)} Würfe: So weit weicht ein gleichmäßiger Würfel mit Wahrscheinlichkeit ${probability(p)} ab; die Zahlen unterscheiden sich um ${share(seen)} (quadratisches Mittel), der Zufall allein macht etwa ${share(expected)}.`,
  'not-shown': ({ rolls, p, few, moreRolls }) =>
    `${whole(rolls)} Würfe: Ungleichmäßigkeit ist nicht gezeigt (so weit weicht ein gleichmäßiger Würfel mit Wahrscheinlichkeit ${probability(p)} ab). Ein Beweis für Gleichmäßigkeit ist das nicht.${few ? ' So wenige Würfe können fast nichts zeigen.' : ''}${moreRolls === null ? '' : ` Wäre der Würfel so ungleichmäßig, wie er aussieht, würden etwa ${roughly(moreRolls)} weitere Würfe es in 4 von 5 Fällen zeigen.`}`,
  'rule-met': ({ rolls, p, at, ln }) =>
    `Die Regel, der man beim Würfeln zusehen darf, war${at === null ? '' : ` nach Wurf ${whole(at)}`} erfüllt (Beleg ${evidenceValue(ln)}; ab 20 ist es zu 5 % entschieden): Das sind nicht die Würfe eines gleichmäßigen Würfels in ihrer Reihenfolge, obwohl alle ${whole(rolls)} zusammen nichts zeigen (Wahrscheinlichkeit ${probability(p)}). So sähe es aus, wenn Würfel oder Hand gewechselt haben oder die Liste sortiert ist.`,
  evidence: ({ ln, largest, metAt }) =>
    `Beleg gegen Gleichmäßigkeit, dem man beim Würfeln zusehen darf: ${evidenceValue(ln)} (ab 20 ist es zu 5 % entschieden, wann immer das eintritt)${largest ? `; höchstens ${evidenceValue(largest.ln)} nach Wurf ${whole(largest.at)}` : ''}${metAt === null ? '' : `; entschieden nach Wurf ${whole(metAt)}`}.`,
  repeats: ({ seen, expected }) =>
    `Eine Zahl wiederholt ${whole(seen)}-mal die vorige, erwartet wären ${whole(expected)}: Sind alle Würfe notiert, und wurde geschüttelt?`,
  neighbours: ({ p }) => `Jeder Wurf hängt vom vorigen ab (p ${probability(p)}): Bei einem Würfel tut er das nicht.`,
  runs: ({ seen, expected }) =>
    `Hohe und niedrige Zahlen ${seen > expected ? 'wechseln zu oft' : 'kommen in zu langen Folgen'}: ${whole(seen)} Folgen, erwartet ${whole(expected)}.`,
  disagree: ({ p }) =>
    `Form und Würfe widersprechen sich (p ${probability(p)}): auf der einen Seite ein Hohlraum oder eine falsche Liste, auf der anderen eine Hand oder ein Tisch, die abweichen.`,
  agree: ({ p }) => `Form und Würfe passen zusammen (p ${probability(p)}).`,
  'cannot-tell': ({ p, power, moreRolls }) =>
    `Form und Würfe widersprechen sich nicht (p ${probability(p)}), aber diese Würfe könnten die Vorhersage nur mit Wahrscheinlichkeit ${decimal(power, 2)} von einem gleichmäßigen Würfel unterscheiden; ${moreRolls === null ? 'so viele, wie nötig wären, würfelt niemand' : `etwa ${roughly(moreRolls)} weitere würden entscheiden`}.`,
};

/** Wording of the roll log. */
const en = {
  heading: 'Roll log',
  caution:
    'A short roll log proves little: hundreds of rolls show gross faults only. Not for disputes about games for money.',
  label: 'Rolls in order (3 17 20) or counts, one line each (20: 13)',
  tally: 'Tally',
  keys: 'Rolls by number keys',
  keysAbout: 'A number that can be no other counts at once; Enter after the others; Backspace takes the last one back.',
  rolled: (name: string) => `Add a roll of ${name}`,
  undo: 'Remove last',
  clear: 'Clear',
  restore: 'Bring back',
  open: 'Open a file of rolls',
  reading: 'Reading the log',
  kept: (size: string, beginning: string) =>
    `A long log (${size}) is held beside the box, so that the page stays quick, and is gone when the page closes: ${beginning} …`,
  release: 'Leave it out',
  tooLong: (size: string, most: string) =>
    `${size} are more than the ${most} that are read at once. Nothing was changed.`,
  gone: (name: string) => ({
    text: `"${name}" cannot be read any more: it was moved, deleted or changed since it was chosen. Nothing was changed here.`,
    advice: 'Choose the file again.',
  }),
  megabytes: (n: string) => `${n} million characters`,
  tests: 'Tests against an even die',
  test: 'Test',
  statistic: 'Value',
  p: 'p',
  count: 'Count',
  names: {
    pearson: 'Chi-square',
    likelihoodRatio: 'Likelihood ratio G',
    exact: 'Multinomial, exact',
    drawn: 'Multinomial, drawn',
    repeats: 'Repeats',
    neighbours: 'Neighbours',
    runs: 'Runs',
    evidence: 'E-value',
  },
  watch: {
    heading: 'E-value, roll by roll',
    now: (value: string, rolls: string) => `${value} after ${rolls} rolls`,
    decided: 'It has reached 20: uneven, decided at 5 %, however the end was chosen.',
    open: 'Below 20: nothing is decided.',
    about: (last: string, largest: string, at: string) =>
      `E-value along the log: ${last} now, at most ${largest} after roll ${at}; 20 decides.`,
    rolls: 'rolls',
    decides: '20 decides',
    none: '1: no evidence',
  },
  counted: 'Chance of each number by the rolls',
  joint: 'Chance of each number by shape and rolls together',
  reference: 'by the shape',
  findings: findingsEn,
};

const de: typeof en = {
  heading: 'Wurfliste',
  caution:
    'Eine kurze Wurfliste beweist wenig: Hunderte von Würfen zeigen nur grobe Fehler. Nicht für Streit um Spiele um Geld.',
  label: 'Würfe der Reihe nach (3 17 20) oder Anzahlen, je Zeile eine (20: 13)',
  tally: 'Strichliste',
  keys: 'Würfe mit den Zifferntasten',
  keysAbout:
    'Was keine andere Zahl mehr werden kann, zählt sofort; nach den anderen die Eingabetaste; die Rücktaste nimmt den letzten zurück.',
  rolled: (name) => `Wurf ${name} hinzufügen`,
  undo: 'Letzten entfernen',
  clear: 'Leeren',
  restore: 'Zurückholen',
  open: 'Datei mit Würfen öffnen',
  reading: 'Die Liste wird gelesen',
  kept: (size, beginning) =>
    `Eine lange Liste (${size}) liegt neben dem Feld, damit die Seite schnell bleibt, und ist fort, wenn die Seite geschlossen wird: ${beginning} …`,
  release: 'Weglassen',
  tooLong: (size, most) => `${size} sind mehr als die ${most}, die auf einmal gelesen werden. Geändert wurde nichts.`,
  gone: (name) => ({
    text: `„${name}“ lässt sich nicht mehr lesen: Die Datei wurde verschoben, gelöscht oder geändert, seit sie gewählt wurde. Hier wurde nichts geändert.`,
    advice: 'Wählen Sie die Datei noch einmal.',
  }),
  megabytes: (n) => `${n} Millionen Zeichen`,
  tests: 'Prüfungen gegen einen gleichmäßigen Würfel',
  test: 'Prüfung',
  statistic: 'Wert',
  p: 'p',
  count: 'Anzahl',
  names: {
    pearson: 'Chi-Quadrat',
    likelihoodRatio: 'Likelihood-Quotient G',
    exact: 'Multinomial, genau',
    drawn: 'Multinomial, gezogen',
    repeats: 'Wiederholungen',
    neighbours: 'Nachbarn',
    runs: 'Folgen',
    evidence: 'E-Wert',
  },
  watch: {
    heading: 'E-Wert, Wurf für Wurf',
    now: (value, rolls) => `${value} nach ${rolls} Würfen`,
    decided: 'Er hat 20 erreicht: ungleichmäßig, zu 5 % entschieden, wie immer das Ende gewählt wurde.',
    open: 'Unter 20: Entschieden ist nichts.',
    about: (last, largest, at) =>
      `E-Wert im Verlauf: jetzt ${last}, höchstens ${largest} nach Wurf ${at}; ab 20 ist entschieden.`,
    rolls: 'Würfe',
    decides: 'ab 20 entschieden',
    none: '1: kein Beleg',
  },
  counted: 'Chance jeder Zahl nach den Würfen',
  joint: 'Chance jeder Zahl nach Form und Würfen zusammen',
  reference: 'nach der Form',
  findings: findingsDe,
};

export const logWords = reader({ en, de });

/** A finding of the log in the language in use. */
export const findingText = (finding: LogFinding): string =>
  (logWords.findings[finding.code] as (f: LogFinding) => string)(finding);
