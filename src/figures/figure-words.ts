import type { Catalogue } from '../text/language.ts';

const en = {
  axes: {
    deviation: 'deviation from the mean axis, \u00b5m',
    shorter: 'shorter',
    longer: 'longer',
    alike: 'all alike',
    range: 'range',
    atMost: 'at most',
    meanAxis: 'mean axis, mm',
    mean: 'mean',
  },
  rolls: {
    chance: 'chance, %',
    even: (percent: string) => `dashed line: even, ${percent} %`,
    number: 'number rolled',
  },
  outline: {
    die: (length: string) => `die: ${length}`,
    deviation: (length: string, times: number) => `deviation: ${length}, ${times} times`,
  },
};

const de: typeof en = {
  axes: {
    deviation: 'Abweichung von der mittleren Achse, \u00b5m',
    shorter: 'kürzer',
    longer: 'länger',
    alike: 'alle gleich',
    range: 'Spanne',
    atMost: 'höchstens',
    meanAxis: 'mittlere Achse, mm',
    mean: 'Mittel',
  },
  rolls: {
    chance: 'Chance, %',
    even: (percent) => `gestrichelt: gleich verteilt, ${percent} %`,
    number: 'gefallene Zahl',
  },
  outline: {
    die: (length) => `Würfel: ${length}`,
    deviation: (length, times) => `${length}, ${times}-fach`,
  },
};

/** What stands in drawings beside numbers and names. */
export const FIGURE_WORDS = { en, de } satisfies Catalogue<typeof en>;
