import type { Make } from '../../judging/tolerance.ts';
import type { Catalogue } from '../kit/catalogue.ts';

const en = {
  longest: 'longest axis',
  shortest: 'shortest axis',
  corner: 'most uneven corner',
  axisOff: (name: string, off: string) => `${name}: ${off}`,
  cornerRadius: (name: string, radius: string, mean: string) => `${name}: radius ${radius}, mean ${mean}`,
  byChance: ': no more than chance explains',
  picture: (kind: string) => `A ${kind} with its longest and shortest axis and its most uneven corner`,
  scale: 'Longest minus shortest axis',
  makes: {
    machined: 'machined',
    moulded: 'moulded',
    tumbled: 'tumbled',
    tampered: 'tampered',
  } satisfies Record<Make, string>,
  like: {
    machined: 'as even as a machined die',
    moulded: 'as even as a moulded die',
    tumbled: 'as uneven as a heavily tumbled die',
    tampered: 'as uneven as if tampered with',
  } satisfies Record<Make, string>,
  between: (from: string, to: string) => `between ${from} and ${to}`,
  scaleNote: (length: string) =>
    `The scale from machined to tampered is common practice without a published source. It tells how far, not who did it: in gaming for money a machined die counts as tampered with from ${length}.`,
  surer: 'What makes it surer',
  go: {
    retake: 'To the photos',
    bars: 'To the check bars',
    photos: 'To the shot list',
    caliper: 'Check the instrument',
  },
  remarks: (n: number) => (n === 1 ? '1 remark' : `${n} remarks`),
  questions: {
    axes: 'How long is each axis?',
    round: 'How round are edges and corners?',
    rolls: 'What do rolls do?',
    photos: 'Which photos speak for it?',
    sure: 'How sure is it?',
  },
  brief: {
    axes: (axis: string) => `mean ${axis}`,
    round: (radius: string) => `mean corner radius ${radius}`,
    photos: (n: number) => (n === 1 ? '1 photo' : `${n} photos`),
    sure: (u: string) => `a typical difference of axes: ± ${u}`,
  },
  rolls: {
    most: 'Most often',
    least: 'Least often',
    even: (p: string) => `equal would be ${p}`,
    mean: (value: string, even: string) => `Mean roll ${value}; an even die's is ${even}.`,
    toRolls: 'All numbers, throws, what-if and the roll log',
    none: 'Nothing can be said of rolls for this shape.',
  },
  tools: 'Save and print',
};

const de: typeof en = {
  longest: 'längste Achse',
  shortest: 'kürzeste Achse',
  corner: 'ungleichste Ecke',
  axisOff: (name, off) => `${name}: ${off}`,
  cornerRadius: (name, radius, mean) => `${name}: Radius ${radius}, Mittel ${mean}`,
  byChance: ': nicht mehr, als der Zufall erklärt',
  picture: (kind) => `Ein ${kind} mit seiner längsten und kürzesten Achse und der ungleichsten Ecke`,
  scale: 'Längste minus kürzeste Achse',
  makes: { machined: 'gefräst', moulded: 'gegossen', tumbled: 'getrommelt', tampered: 'gezinkt' },
  like: {
    machined: 'so gleichmäßig wie ein gefräster Würfel',
    moulded: 'so gleichmäßig wie ein gegossener Würfel',
    tumbled: 'so ungleich wie ein stark getrommelter Würfel',
    tampered: 'so ungleich, als wäre er gezinkt',
  },
  between: (from, to) => `zwischen ${from} und ${to}`,
  scaleNote: (length) =>
    `Die Skala von gefräst bis manipuliert ist übliche Praxis ohne veröffentlichte Quelle. Sie sagt, wie weit, nicht wer es war: Bei Spielen um Geld gilt ein gefräster Würfel ab ${length} als manipuliert.`,
  surer: 'Was es sicherer macht',
  go: {
    retake: 'Zu den Fotos',
    bars: 'Zu den Prüfstrecken',
    photos: 'Zur Aufnahmeliste',
    caliper: 'Messmittel prüfen',
  },
  remarks: (n) => (n === 1 ? '1 Hinweis' : `${n} Hinweise`),
  questions: {
    axes: 'Wie lang ist jede Achse?',
    round: 'Wie rund sind Kanten und Ecken?',
    rolls: 'Was tun die Würfe?',
    photos: 'Welche Fotos sprechen dafür?',
    sure: 'Wie sicher ist das?',
  },
  brief: {
    axes: (axis) => `im Mittel ${axis}`,
    round: (radius) => `mittlerer Eckenradius ${radius}`,
    photos: (n) => (n === 1 ? '1 Foto' : `${n} Fotos`),
    sure: (u) => `ein typischer Unterschied zweier Achsen: ± ${u}`,
  },
  rolls: {
    most: 'Am häufigsten',
    least: 'Am seltensten',
    even: (p) => `gleich wären ${p}`,
    mean: (value, even) => `Mittlerer Wurf ${value}; der eines gleichmäßigen Würfels ist ${even}.`,
    toRolls: 'Alle Zahlen, Würfe, Was-wäre-wenn und die Wurfliste',
    none: 'Für diese Form lässt sich über Würfe nichts sagen.',
  },
  tools: 'Sichern und drucken',
};

export const ANSWER_WORDS: Catalogue<typeof en> = { en, de };
