import type { Effort } from '../../shots/plan.ts';
import type { Catalogue } from '../kit/catalogue.ts';

const en = {
  heading: 'Shot list',
  about: 'Worked out from what the photos will show: the most helpful first. Stop at any of them.',
  effort: 'Photos',
  efforts: {
    quick: 'quick',
    usual: 'usual',
    thorough: 'thorough',
  } satisfies Record<Effort, string>,
  effortOf: (effort: string, count: number) => `${effort}: ${count}`,
  own: 'another number',
  count: 'How many photos',
  countWrong: (most: number) => `A whole number from 1 to ${most} is needed.`,
  planning: 'Working out the shots',
  forKind: (kind: string) =>
    `The list is for a ${kind}. Is yours another? Choose its kind above, or drop photos: they tell it.`,
  kindFirst: 'The list follows when the photos have told the kind of die.',
  fault: (detail: string) => `The shots could not be worked out (${detail}). Load the page again.`,

  expectAll: (count: number, difference: string, length: string) =>
    `To expect with ${count} photos: each axis against the others within ${difference}, its length within ${length} (U95).`,
  reached: (count: number, difference: string, length: string) =>
    `${count === 1 ? 'One photo reaches' : `${count} photos reach`}: ${difference} against the others, ${length} in length (U95).`,
  range: (from: string, to: string) => `${from} to ${to}`,
  barsHelp: 'Most of the doubt of the length comes from the card: measuring its check bars takes it away.',
  table: 'Expected U95 of each axis',
  axis: 'Axis',
  now: 'Now',
  nowDifference: 'Against the others, now',
  atEnd: 'With all photos',
  atEndDifference: 'Against the others, with all',

  shot: (number: number) => `Shot ${number}`,
  next: 'helps most now',
  done: (photo: string) => `taken: ${photo}`,
  stand: (up: string, front: string) => `${up} up, ${front} towards the card’s lower edge`,
  standD4: (down: string, front: string) => `Standing on ${down}, ${front} towards the card’s lower edge`,
  standShort: (up: string) => `${up} up`,
  standShortD4: (down: string) => `on ${down}`,
  turned: (angle: string, way: 'left' | 'right') =>
    `turn the die by ${angle} ${way === 'left' ? 'counter-clockwise' : 'clockwise'}, seen from above`,
  lean: (angle: string) => `lean the camera by ${angle}`,
  leanOf: 'Lean of the camera',
  why: (axes: string, u95: string) => `Tells most of ${axes}: their U95 against the others falls to ${u95}.`,
  whyOne: (axis: string, u95: string) => `Tells most of ${axis}: its U95 against the others falls to ${u95}.`,
  whyFirst: (axes: string) => `A first sight of ${axes}; the next photos make it sharp.`,
  whyCorners: 'Tells more of the corners, and steadies all axes.',
  grazing: (n: number) => `For the crowns of the faces: ${n} more, each sees a face edge-on`,
  grazingAbout:
    'Photos at usual leans show the edges of faces alone; whether a face is crowned shows where the camera looks along it.',
  whyGrazing: (face: string, u95: string) =>
    `Sees ${face} edge-on and tells its crown: what crowns leave open of an axis falls to ${u95}. Lean slowly through this angle; the live camera takes photos by itself as you pass it.`,
  and: (list: readonly string[]) => list.join(', ').replace(/, ([^,]*)$/, ' and $1'),
  picture: (up: string, front: string, lean: string) =>
    `The die as the camera should see it: ${up} on top, ${front} in front, camera leaned by ${lean}`,
  pictureD4: (down: string, front: string, lean: string) =>
    `The die as the camera should see it: it stands on ${down}, ${front} in front, camera leaned by ${lean}`,
  take: 'Take it now',
  takeOf: (number: number) => `Take it now: shot ${number}`,
  choose: 'Choose a photo',
  chooseOf: (number: number) => `Choose a photo: shot ${number}`,
  chooseMissing: (up: string) => `Choose the missing photo: ${up}`,
  more: (count: number) => `Show ${count} more`,
};

const de: typeof en = {
  heading: 'Aufnahmen',
  about: 'Berechnet aus dem, was die Fotos zeigen werden: das hilfreichste zuerst. Man kann bei jedem aufhören.',
  effort: 'Fotos',
  efforts: { quick: 'schnell', usual: 'üblich', thorough: 'gründlich' },
  effortOf: (effort, count) => `${effort}: ${count}`,
  own: 'andere Zahl',
  count: 'Wie viele Fotos',
  countWrong: (most) => `Eine ganze Zahl von 1 bis ${most} ist nötig.`,
  planning: 'Aufnahmen werden berechnet',
  forKind: (kind) =>
    `Die Liste gilt für einen ${kind}. Ist Ihrer ein anderer? Wählen Sie oben die Art, oder geben Sie Fotos: Sie zeigen sie.`,
  kindFirst: 'Die Liste folgt, wenn die Fotos die Art des Würfels gezeigt haben.',
  fault: (detail) => `Die Aufnahmen konnten nicht berechnet werden (${detail}). Bitte die Seite neu laden.`,

  expectAll: (count, difference, length) =>
    `Zu erwarten mit ${count} Fotos: jede Achse gegen die anderen auf ${difference}, ihre Länge auf ${length} (U95).`,
  reached: (count, difference, length) =>
    `${count === 1 ? 'Ein Foto erreicht' : `${count} Fotos erreichen`}: ${difference} gegen die anderen, ${length} in der Länge (U95).`,
  range: (from, to) => `${from} bis ${to}`,
  barsHelp: 'Der größte Teil des Zweifels an der Länge kommt von der Karte: ihre Prüfstrecken zu messen nimmt ihn weg.',
  table: 'Erwartete U95 jeder Achse',
  axis: 'Achse',
  now: 'Jetzt',
  nowDifference: 'Gegen die anderen, jetzt',
  atEnd: 'Mit allen Fotos',
  atEndDifference: 'Gegen die anderen, mit allen',

  shot: (number) => `Aufnahme ${number}`,
  next: 'hilft jetzt am meisten',
  done: (photo) => `aufgenommen: ${photo}`,
  stand: (up, front) => `${up} oben, ${front} zum unteren Rand der Karte`,
  standD4: (down, front) => `Auf ${down} stehend, ${front} zum unteren Rand der Karte`,
  standShort: (up) => `${up} oben`,
  standShortD4: (down) => `auf ${down}`,
  turned: (angle, way) =>
    `den Würfel um ${angle} ${way === 'left' ? 'gegen den' : 'im'} Uhrzeigersinn drehen, von oben gesehen`,
  lean: (angle) => `die Kamera um ${angle} neigen`,
  leanOf: 'Neigung der Kamera',
  why: (axes, u95) => `Sagt am meisten über ${axes}: ihre U95 gegen die anderen sinkt auf ${u95}.`,
  whyOne: (axis, u95) => `Sagt am meisten über ${axis}: ihre U95 gegen die anderen sinkt auf ${u95}.`,
  whyFirst: (axes) => `Ein erster Blick auf ${axes}; die nächsten Fotos machen ihn scharf.`,
  whyCorners: 'Sagt mehr über die Ecken und festigt alle Achsen.',
  grazing: (n) => `Für die Wölbung der Flächen: ${n} weitere, je eine Fläche genau von der Kante`,
  grazingAbout:
    'Fotos mit üblicher Neigung zeigen nur die Kanten der Flächen; ob eine Fläche gewölbt ist, zeigt sich, wo die Kamera an ihr entlang sieht.',
  whyGrazing: (face, u95) =>
    `Sieht ${face} genau von der Kante und zeigt ihre Wölbung: Was Wölbungen an einer Achse offen lassen, sinkt auf ${u95}. Neigen Sie langsam durch diesen Winkel; die Live-Kamera fotografiert beim Durchgang von selbst.`,
  and: (list) => list.join(', ').replace(/, ([^,]*)$/, ' und $1'),
  picture: (up, front, lean) =>
    `Der Würfel, wie die Kamera ihn sehen soll: ${up} oben, ${front} vorn, Kamera um ${lean} geneigt`,
  pictureD4: (down, front, lean) =>
    `Der Würfel, wie die Kamera ihn sehen soll: er steht auf ${down}, ${front} vorn, Kamera um ${lean} geneigt`,
  take: 'Jetzt aufnehmen',
  takeOf: (number) => `Jetzt aufnehmen: Aufnahme ${number}`,
  choose: 'Foto wählen',
  chooseOf: (number) => `Foto wählen: Aufnahme ${number}`,
  chooseMissing: (up) => `Das fehlende Foto wählen: ${up}`,
  more: (count) => `${count} weitere zeigen`,
};

/** Words of the shot list. */
export const SHOT_WORDS: Catalogue<typeof en> = { en, de };
