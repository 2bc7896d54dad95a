import type { Catalogue } from '../../../text/language.ts';

const en = {
  beyond:
    'This shape lies beyond what the quick prediction of rolls was made for, and it was not thrown: the intervals are wide for that.',
  missing: (why: string) => `Nothing can be said of rolls: ${why}`,
  rolled: {
    agree: (rolls: number, p: string) => `This die was rolled ${rolls} times: shape and rolls agree (p ${p}).`,
    disagree: (rolls: number, p: string) =>
      `This die was rolled ${rolls} times: shape and rolls disagree (p ${p}); one of them is not of this die, or it is not as solid and uniform, or the table not as rigid and level, as the prediction assumes.`,
    cannotTell: (rolls: number, p: string, power: string) =>
      `This die was rolled ${rolls} times: they do not contradict its shape (p ${p}), but so many tell the prediction from an even die only with probability ${power}.`,
    below: 'below',
  },
  misfit: (bars: number, scatter: string, near: string, deviance: number, faces: string) =>
    `How far to trust it: published throws of ${bars} square steel bars (Budden 1980) differ from this model by ${scatter} of the effect of shape (root mean square; ${near} near the cube; deviance ${deviance}, where a perfect law would leave about ${bars}). The intervals allow for ${faces}. No throws of other measured dice were found; those of this one, logged and read back, would tell.`,
  chart: (limits: boolean) =>
    `Chance of each number, predicted from the shape, with its 95 % interval.${limits ? ' Hatched: within the limits.' : ''}`,
  chance: (face: string, p: string, low: string, high: string) => `${face}: ${p}, ${low} to ${high}`,
  interval: (low: string, high: string) => `${low} to ${high}`,
  table: 'Chances of the numbers',
  head: ['Number', '#Chance', '#95 % interval'] as readonly string[],
  thrown: (throws: number, seed: number) =>
    `From ${throws} simulated throws of this shape (seed ${seed}), a third on each table.`,
  kernel: 'Predicted by a kernel fitted to simulated throws, mean of all tables.',
  unevenness: (from: string, value: string, low: string, high: string | null) =>
    `${from} Unevenness (root mean square of the relative deviations of the chances) ${value}, 95 % interval ${low} to ${high ?? 'open'}.`,
};

const de: typeof en = {
  beyond:
    'Diese Form liegt jenseits dessen, wofür die schnelle Vorhersage der Würfe gemacht ist, und sie wurde nicht geworfen: Dafür sind die Intervalle weit.',
  missing: (why) => `Zu Würfen lässt sich nichts sagen: ${why}`,
  rolled: {
    agree: (rolls, p) => `Dieser Würfel wurde ${rolls}-mal geworfen: Form und Würfe stimmen überein (p ${p}).`,
    disagree: (rolls, p) =>
      `Dieser Würfel wurde ${rolls}-mal geworfen: Form und Würfe stimmen nicht überein (p ${p}); eines von beiden gehört nicht zu diesem Würfel, oder er ist nicht so fest und gleichmäßig, oder der Tisch nicht so starr und eben, wie die Vorhersage annimmt.`,
    cannotTell: (rolls, p, power) =>
      `Dieser Würfel wurde ${rolls}-mal geworfen: Die Würfe widersprechen seiner Form nicht (p ${p}), aber so viele unterscheiden die Vorhersage nur mit Wahrscheinlichkeit ${power} von einem gleichmäßigen Würfel.`,
    below: 'unter',
  },
  misfit: (bars, scatter, near, deviance, faces) =>
    `Wie weit man ihr trauen kann: Veröffentlichte Würfe von ${bars} Vierkantstäben aus Stahl (Budden 1980) weichen von diesem Modell um ${scatter} der Wirkung der Form ab (quadratisches Mittel; ${near} nahe am Würfel; Devianz ${deviance}, wo ein vollkommenes Gesetz etwa ${bars} ließe). Die Intervalle lassen ${faces} zu. Würfe anderer gemessener Würfel fanden sich nicht; die Würfe dieses Würfels, aufgeschrieben und wieder eingelesen, würden es zeigen.`,
  chart: (limits) =>
    `Chance jeder Zahl, aus der Form vorhergesagt, mit ihrem Intervall zu 95 %.${limits ? ' Schraffiert: innerhalb der Grenzen.' : ''}`,
  chance: (face, p, low, high) => `${face}: ${p}, ${low} bis ${high}`,
  interval: (low, high) => `${low} bis ${high}`,
  table: 'Chancen der Zahlen',
  head: ['Zahl', '#Chance', '#Intervall zu 95 %'],
  thrown: (throws, seed) =>
    `Aus ${throws} nachgebildeten Würfen dieser Form (Startwert ${seed}), ein Drittel auf jedem Tisch.`,
  kernel: 'Vorhergesagt durch einen an nachgebildete Würfe angepassten Kern, Mittel aller Tische.',
  unevenness: (from, value, low, high) =>
    `${from} Ungleichmäßigkeit (quadratisches Mittel der relativen Abweichungen der Chancen) ${value}, Intervall zu 95 % von ${low} bis ${high ?? 'offen'}.`,
};

/** What the shape means for rolls. */
export const ROLLS_WORDS = { en, de } satisfies Catalogue<typeof en>;
