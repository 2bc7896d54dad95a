import type { Catalogue } from '../kit/catalogue.ts';

const en = {
  agrees: (apart: string, at: string, allowed: string) =>
    `This browser measures the sample die as it should: ${apart} apart, checked today ${at}, from what the same photos came to where this page was made; up to ${allowed}, a tenth of its standard uncertainty, counts as the same.`,
  disagrees: (apart: string, allowed: string) =>
    `This browser does not measure the sample die as it should: it is ${apart} apart from what the same photos came to where this page was made; up to ${allowed}, a tenth of its standard uncertainty, counts as the same.`,
  failed: 'This browser does not come to a result for the sample die that comes with the page.',
  advice: 'Lengths measured here may be wrong: use another browser, or a newer one, and compare with a caliper.',
};

const de: typeof en = {
  agrees: (apart, at, allowed) =>
    `Dieser Browser misst den Beispielwürfel, wie er soll: ${apart} Abstand, geprüft heute ${at}, zu dem, was dieselben Fotos dort ergaben, wo diese Seite gemacht wurde; bis ${allowed}, ein Zehntel seiner Standardunsicherheit, gilt als gleich.`,
  disagrees: (apart, allowed) =>
    `Dieser Browser misst den Beispielwürfel nicht, wie er soll: ${apart} Abstand zu dem, was dieselben Fotos dort ergaben, wo diese Seite gemacht wurde; bis ${allowed}, ein Zehntel seiner Standardunsicherheit, gilt als gleich.`,
  failed: 'Dieser Browser kommt beim Beispielwürfel, der mit der Seite kommt, zu keinem Ergebnis.',
  advice:
    'Hier gemessene Längen können falsch sein: Nehmen Sie einen anderen oder neueren Browser, und vergleichen Sie mit einem Messschieber.',
};

export const SELF_TEST_WORDS: Catalogue<typeof en> = { en, de };
