import type { Catalogue } from '../kit/catalogue.ts';

const en = {
  heading: 'Shelf',
  about: 'Measured dice, kept on this device. Choose two to six to set them side by side.',
  none: 'No die has been measured yet. Whatever is measured stands here afterwards.',
  choose: (name: string) => `Compare ${name}`,
  full: 'Six stand beside each other at most.',
  unnamed: 'without a name',
  compared: 'Side by side',
  fewer: 'Choose at least two.',
  first: (name: string) => `Differences are from ${name}, the first chosen.`,
  saveReport: 'Save the comparison (HTML)',
  open: 'Open',
  openOf: (name: string) => `Open ${name}`,
  sameCard: 'All lay on the same printed card',
  picture: (kind: string) => `A ${kind} with its longest and shortest axis`,
  axesOf: (name: string) => `Axes of ${name}`,
  rollsShow: (count: string) => `about ${count} rolls show it`,
};

const de: typeof en = {
  heading: 'Regal',
  about: 'Gemessene Würfel, auf diesem Gerät aufbewahrt. Wählen Sie zwei bis sechs, um sie nebeneinander zu stellen.',
  none: 'Noch wurde kein Würfel gemessen. Was gemessen wird, steht danach hier.',
  choose: (name) => `${name} vergleichen`,
  full: 'Höchstens sechs stehen nebeneinander.',
  unnamed: 'ohne Namen',
  compared: 'Nebeneinander',
  fewer: 'Wählen Sie mindestens zwei.',
  first: (name) => `Unterschiede gelten gegen ${name}, den zuerst gewählten.`,
  saveReport: 'Vergleich sichern (HTML)',
  open: 'Öffnen',
  openOf: (name) => `${name} öffnen`,
  sameCard: 'Alle lagen auf derselben gedruckten Karte',
  picture: (kind) => `Ein ${kind} mit seiner längsten und kürzesten Achse`,
  axesOf: (name) => `Achsen von ${name}`,
  rollsShow: (count) => `etwa ${count} Würfe zeigen es`,
};

export const COMPARE_WORDS: Catalogue<typeof en> = { en, de };
