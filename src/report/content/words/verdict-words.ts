import type { Verdict } from '../../../judging/decision.ts';
import type { ClassName, LimitKey } from '../../../judging/tolerance.ts';
import type { Catalogue } from '../../../text/language.ts';

const en = {
  verdicts: { pass: 'Pass', fail: 'Fail', undecided: 'Undecided' } satisfies Record<Verdict, string>,
  limits: {
    size: 'Mean axis',
    range: 'Range of axes',
    edges: 'Edge radius',
    chances: 'Chance of a number',
    crowns: 'Crown of a face',
    marks: 'Height of a mark',
  } satisfies Record<LimitKey, string>,
  /** The name of a limit within a sentence. */
  within: (limit: string) => limit.toLowerCase(),
  rules: {
    simple:
      'Decision rule: simple acceptance (JCGM 106:2012, 8.2). What lies within the limits passes, what lies outside fails; the doubt does not count, and both parties share its risk. Close to a limit the chance of a wrong verdict reaches 50 %.',
    guard: (risk: string) =>
      `Decision rule: guard band w = U95 (JCGM 106:2012, 8.3; ISO 14253-1). Only what lies inside its limits by U95 or more passes, only what lies outside by more than U95 fails; what lies between is undecided. At one limit the chance of a wrong pass or fail is at most ${risk} %.`,
    shared: (probability: string, risk: string) =>
      `Decision rule: shared risk, ${probability} stated. What lies within its limits with at least that probability passes, what lies outside with at least that probability fails; what lies between is undecided. Each party bears a chance of a wrong verdict of at most ${risk}.`,
  },
  ofEven: (percent: string) => `${percent} % of even`,
  from: (low: string, high: string) => `${low} to ${high}`,
  atLeast: (low: string) => `at least ${low}`,
  atMost: (high: string) => `at most ${high}`,
  worst: (member: string, judged: number) => ` (${member}, the worst of ${judged})`,
  remedies: {
    needed: (needed: string, reached: string) => `U95 of ${needed} mm needed, ${reached} mm reached`,
    onLimit: 'The value lies on the limit itself: no measurement will tell the side.',
    bars: (needed: string) => `Measuring the card's two check bars would suffice (${needed}).`,
    photos: (times: number, bars: boolean, needed: string) =>
      `About ${times} times as many photos${bars ? ', with the check bars measured,' : ''} would decide (${needed}).`,
    instrument: (needed: string) =>
      `No number of photos decides this: it takes an instrument, such as a micrometer, with a smaller doubt (${needed}).`,
    grazing: (needed: string) => `A photo that sees the face edge-on would narrow this (${needed}).`,
    rolls: (count: string) => `The shape alone may not decide this: about ${count} logged rolls would.`,
    hopeless: 'U95 is larger than the tolerance; at this doubt nothing passes.',
  },
  notJudged: 'Not judged',
  noLimits: 'No limits were set: this report tells what was measured and judges nothing.',
  ownLimits: 'own limits',
  /** Limits that came with the program, by class; what a person named stands as it is. */
  classes: {
    strictest: 'Machined, strictest',
    machined: 'Machined',
    moulded: 'Moulded',
    tumbled: 'Heavily tumbled',
  } satisfies Record<ClassName, string>,
  common: 'common practice, no published source',
  between: (low: string, high: string) => `between ${low} and ${high}`,
  pass: 'The die keeps every limit, its doubt included as the rule says.',
  fail: (named: string) => `Not kept: ${named}.`,
  undecided: (named: string) => `The doubt reaches across a limit, so neither pass nor fail can be said: ${named}.`,
  verdict: (meaning: string, limits: string, within: string) =>
    `${meaning} Limits: ${limits}. Probability that the die lies within all of them: ${within}.`,
  counted: (verdict: string, passed: number, failed: number) => `${verdict} (${passed} pass, ${failed} fail)`,
  conformity: 'Statement of conformity',
  head: ['Limit', 'Tolerance', 'Measured, \u00b1 U95', '#Within', 'Verdict'] as readonly string[],
};

const de: typeof en = {
  verdicts: { pass: 'Bestanden', fail: 'Nicht bestanden', undecided: 'Unentschieden' },
  limits: {
    size: 'Mittlere Achse',
    range: 'Spannweite der Achsen',
    edges: 'Kantenradius',
    chances: 'Chance einer Zahl',
    crowns: 'Wölbung einer Fläche',
    marks: 'Höhe eines Angussrests',
  },
  within: (limit) => limit.replace(/^Mittlere/, 'mittlere'),
  rules: {
    simple:
      'Entscheidungsregel: einfache Annahme (JCGM 106:2012, 8.2). Was innerhalb der Grenzen liegt, besteht, was außerhalb liegt, nicht; die Unsicherheit zählt nicht, und beide Seiten teilen ihr Risiko. Nahe an einer Grenze erreicht die Wahrscheinlichkeit eines falschen Urteils 50 %.',
    guard: (risk) =>
      `Entscheidungsregel: Schutzabstand w = U95 (JCGM 106:2012, 8.3; ISO 14253-1). Nur was um U95 oder mehr innerhalb seiner Grenzen liegt, besteht, nur was um mehr als U95 außerhalb liegt, besteht nicht; was dazwischen liegt, ist unentschieden. An einer einzelnen Grenze ist ein falsches Urteil höchstens mit ${risk} % wahrscheinlich.`,
    shared: (probability, risk) =>
      `Entscheidungsregel: geteiltes Risiko, genannt sind ${probability}. Was mindestens mit dieser Wahrscheinlichkeit innerhalb seiner Grenzen liegt, besteht, was mindestens mit ihr außerhalb liegt, nicht; was dazwischen liegt, ist unentschieden. Jede Seite trägt ein falsches Urteil mit einer Wahrscheinlichkeit von höchstens ${risk}.`,
  },
  ofEven: (percent) => `${percent} % von gleich`,
  from: (low, high) => `${low} bis ${high}`,
  atLeast: (low) => `mindestens ${low}`,
  atMost: (high) => `höchstens ${high}`,
  worst: (member, judged) => ` (${member}, das schlechteste von ${judged})`,
  remedies: {
    needed: (needed, reached) => `nötig ist U95 von ${needed} mm, erreicht sind ${reached} mm`,
    onLimit: 'Der Wert liegt genau auf der Grenze: Keine Messung wird die Seite zeigen.',
    bars: (needed) => `Die beiden Prüfstrecken der Karte zu messen würde genügen (${needed}).`,
    photos: (times, bars, needed) =>
      `Etwa ${times}-mal so viele Fotos${bars ? ', mit gemessenen Prüfstrecken,' : ''} würden entscheiden (${needed}).`,
    instrument: (needed) =>
      `Keine Zahl von Fotos entscheidet das: Nötig ist ein Messmittel mit kleinerer Unsicherheit, etwa eine Messschraube (${needed}).`,
    grazing: (needed) => `Ein Foto, das die Fläche von der Seite sieht, würde das eingrenzen (${needed}).`,
    rolls: (count) => `Die Form allein entscheidet das vielleicht nicht: Etwa ${count} aufgeschriebene Würfe täten es.`,
    hopeless: 'U95 ist größer als die Toleranz; bei dieser Unsicherheit besteht nichts.',
  },
  notJudged: 'Nicht beurteilt',
  noLimits: 'Es wurden keine Grenzen gesetzt: Dieser Bericht sagt, was gemessen wurde, und beurteilt nichts.',
  ownLimits: 'eigene Grenzen',
  classes: {
    strictest: 'Gefräst, am strengsten',
    machined: 'Gefräst',
    moulded: 'Gegossen',
    tumbled: 'Lange getrommelt',
  },
  common: 'übliche Praxis, ohne veröffentlichte Quelle',
  between: (low, high) => `zwischen ${low} und ${high}`,
  pass: 'Der Würfel hält jede Grenze ein, seine Unsicherheit so eingerechnet, wie die Regel es sagt.',
  fail: (named) => `Nicht eingehalten: ${named}.`,
  undecided: (named) =>
    `Die Unsicherheit reicht über eine Grenze, also lässt sich weder das eine noch das andere sagen: ${named}.`,
  verdict: (meaning, limits, within) =>
    `${meaning} Grenzen: ${limits}. Wahrscheinlichkeit, dass der Würfel innerhalb aller liegt: ${within}.`,
  counted: (verdict, passed, failed) => `${verdict} (${passed} bestanden, ${failed} nicht)`,
  conformity: 'Konformitätsaussage',
  head: ['Grenze', 'Toleranz', 'Gemessen, \u00b1 U95', '#Innerhalb', 'Urteil'],
};

/** Verdict, rule, limits and what would decide. */
export const VERDICT_WORDS = { en, de } satisfies Catalogue<typeof en>;
