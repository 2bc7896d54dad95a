import type { DieKind } from '../../geometry/solid.ts';
import { MOST_SHOTS, type FINISHES, type HAND_TESTS } from '../../formats/job.ts';
import type { NumbersFrom, PhotoStatus } from '../../formats/result.ts';
import type { Catalogue } from '../kit/catalogue.ts';

/** A small chance as one in so many, by powers of ten; never less than what was tried on photos whose numbers are known. */
const chanceText = (chance: number, below: string): string =>
  `${below} 1 : ${10 ** Math.min(4, Math.max(1, Math.floor(-Math.log10(Math.max(chance, 1e-4)))))}`;

const en = {
  soFar: {
    heading: (photos: number) => `So far, from ${photos} photos`,
    about: (mean: string) =>
      `Mean of the axes ${mean} (U95). Each axis against that mean, with its U95, as outlines show it: crowned faces, marks and photos at odds are looked at when the die is measured.`,
    unknown: (axes: string) => `Not seen well enough yet: ${axes}.`,
    picture: 'Axes against their mean, so far',
    short: (longest: string, shortest: string) => `So far, against the mean: ${longest}, ${shortest} (U95)`,
  },
  die: {
    heading: 'Die',
    kind: 'Kind of die',
    fromPhotos: 'told from the photos',
    name: 'Name of this die',
    finish: 'Finish of the faces',
    finishes: {
      unknown: 'not known',
      moulded: 'as moulded',
      tumbled: 'tumbled',
      polished: 'polished by hand',
    } satisfies Record<(typeof FINISHES)[number], string>,
    handTest: 'Spun on a pane of glass',
    handTests: {
      untried: 'not tried',
      spins: 'spins or rocks',
      still: 'stays still',
    } satisfies Record<(typeof HAND_TESTS)[number] | 'untried', string>,
    finishAbout:
      'Why it is asked: tumbled faces are crowned, which outlines at usual tilts do not show. Knowing it narrows the doubt of the lengths over the faces.',
    kinds: {
      d4: 'd4, 4 faces',
      d6: 'd6, 6 faces',
      d8: 'd8, 8 faces',
      d10: 'd10, 10 faces',
      d12: 'd12, 12 faces',
      d20: 'd20, 20 faces',
    } satisfies Record<DieKind, string>,
    axis: 'An axis runs from a face through the die to the face opposite, and is named by both numbers.',
    axisOfD4:
      'A d4 has no opposite faces: an axis runs from a face to the corner opposite. A photo is named by the face the die stands on.',
  },

  photos: {
    failed: 'This set could not be measured',
    photosKept: 'The photos stay as they are: mend or leave out those that are marked, then measure again.',
    heading: 'Photos',
    about:
      'Which number is up, and which looks to the lower edge of the card, is read from the faces. What is not certain stays empty and is asked.',
    aboutD4:
      'Which face the die stands on, and which looks to the lower edge of the card, is read from the faces. What is not certain stays empty and is asked.',
    reading: 'Numbers are being read',
    inTens: 'This d10 is printed in tens; it is named by the first digit: 8 stands for 80, 0 for 00.',
    stands: (kind: DieKind, up: string, front: string) =>
      kind === 'd4' ? `Stands on ${up}, ${front} in front` : `${up} up, ${front} in front`,
    upAlone: (kind: DieKind, up: string) => (kind === 'd4' ? `Stands on ${up}` : `${up} up`),
    frontOpen:
      'No face tells for sure which number is in front. The outlines of all photos tell it when they are measured; where they cannot, the lengths carry that doubt.',
    fromContradicted: 'Given; the faces show otherwise.',
    frontLeft: 'Read from the faces; the front is left to the outlines.',
    frontAsked: 'Choose the number in front: without it the photo is left out.',
    someOpen: (n: number, all: number) =>
      n === 1
        ? `Of 1 photo of ${all} only the number up is read.`
        : `Of ${n} photos of ${all} only the number up is read.`,
    from: (from: NumbersFrom | null, chance: number | null) =>
      from === 'read'
        ? chance === null
          ? 'Read from the faces.'
          : `Read from the faces; stated chance of error ${chanceText(chance, 'below')}.`
        : from === 'confirmed'
          ? 'Given, and the faces agree.'
          : 'Given; the faces do not tell.',
    correct: 'Put right',
    keep: 'Keep as it is',
    notKnown: 'Not known yet',
    askFirst: 'Which number stands on this face?',
    askNext: 'And on this one?',
    askAgain: 'Start again',
    askHow: 'Tap the number that you see. Another face: tap it on the picture of the die. Two faces settle it.',
    cannotStand: 'These two numbers cannot stand like that on this die. Look again.',
    contradicted: (up: string, front: string) => `The faces do not show ${up} up and ${front} in front, as was given.`,
    contradictedLook: 'Look at the picture and put it right.',
    facesShow: (up: string, front: string) => `They show ${up} up and ${front} in front.`,
    faceStraight: 'The face, looked at straight on',
    dieSeen: (photo: string) => `The die in ${photo}`,
    faces: 'Faces in sight',
    face: (i: number, n: number, label: string | null) =>
      label === null ? `Face ${i} of ${n} in sight` : `Face ${i} of ${n} in sight, number ${label}`,
    looksLike: (kind: DieKind, chosen: DieKind) => `This looks like a ${kind}, not a ${chosen}.`,
    takeKind: (kind: DieKind) => `It is a ${kind}`,
    someUnknown: (n: number, all: number) =>
      n === 1
        ? `The numbers of 1 photo of ${all} are not known.`
        : `The numbers of ${n} photos of ${all} are not known.`,
    someUnknownAbout: 'They are left out when it is measured, and the result says so. Tap what you see to use them.',
    someContradicted: (n: number) =>
      n === 1
        ? 'The numbers given for 1 photo are contradicted by its faces.'
        : `The numbers given for ${n} photos are contradicted by their faces.`,
    someContradictedAbout: 'The result and every report will say so. Look at them before you measure.',
    add: 'Add photos',
    folder: 'Add a folder',
    choose: 'Choose photos',
    none: 'No photos yet. Drop them anywhere on this page, paste them, or choose them.',
    order: 'Order',
    byNames: 'by names',
    byTimes: 'by time taken',
    up: 'Up',
    upOfD4: 'Stands on',
    front: 'Front',
    of: (field: string, photo: string) => `${field}, ${photo}`,
    missing: 'Missing',
    leaveOut: 'Leave out',
    putBack: 'Put back',
    retake: 'Replace',
    leaveOutOf: (photo: string) => `Leave out ${photo}`,
    putBackOf: (photo: string) => `Put back ${photo}`,
    retakeOf: (photo: string) => `Replace ${photo} by another photo`,
    waiting: 'Waiting',
    judging: 'Being looked at',
    byYou: 'Left out by you',
    status: {
      used: 'Fit to use',
      'used-with-remark': 'Usable, with a remark',
      'left-out': 'Not usable',
    } satisfies Record<PhotoStatus, string>,
    jobFault: (message: string) => `The job file was not used. ${message}.`,
    unnamed: (count: number) => `${count} photos of the job file are not here.`,
    ignored: (count: number) =>
      `${count} other files of the folder were passed over: they are no photos, or more than the ${MOST_SHOTS} of one die.`,
    takenAt: (time: string) => `taken ${time}`,
    timesUnknown: 'The photos do not say when they were taken.',
    takeSuggestion: (up: string, front: string) => `Take ${up} up, ${front} in front`,
    offered: (names: readonly string[]) =>
      names.length === 1
        ? `The shape speaks for other numbers in ${names[0]}.`
        : `The shape speaks for other numbers in ${names.length} photos (${names.join(', ')}).`,
    offeredAbout:
      'It tells only how the photos stand to each other, and takes the other photos’ numbers for right: look at one yourself. More may come up when it is measured again.',
    confused: (names: readonly string[]) => `The numbers of ${names.join(', ')} do not go together.`,
    confusedAbout:
      'These are half of the photos or more: the shape cannot tell which of them are right. Compare the numbers with the photos, put one or two right, and measure again.',
    takeAll: (count: number) => (count === 1 ? 'Take them and measure again' : `Take all ${count} and measure again`),
  },
};

const de: typeof en = {
  soFar: {
    heading: (photos) => `Bisher, aus ${photos} Fotos`,
    about: (mean) =>
      `Mittel der Achsen ${mean} (U95). Jede Achse gegen dieses Mittel, mit ihrem U95, wie Umrisse sie zeigen: Gewölbte Flächen, Marken und Fotos, die nicht zueinander passen, werden erst beim Messen angesehen.`,
    unknown: (axes) => `Noch nicht gut genug gesehen: ${axes}.`,
    picture: 'Achsen gegen ihr Mittel, bisher',
    short: (longest, shortest) => `Bisher, gegen das Mittel: ${longest}, ${shortest} (U95)`,
  },
  die: {
    heading: 'Würfel',
    kind: 'Art des Würfels',
    fromPhotos: 'wird den Fotos entnommen',
    name: 'Name dieses Würfels',
    finish: 'Oberfläche der Flächen',
    finishes: {
      unknown: 'nicht bekannt',
      moulded: 'wie gegossen',
      tumbled: 'getrommelt',
      polished: 'von Hand poliert',
    },
    handTest: 'Auf einer Glasscheibe gedreht',
    handTests: {
      untried: 'nicht versucht',
      spins: 'dreht sich oder kippelt',
      still: 'liegt still',
    },
    finishAbout:
      'Warum Sie das gefragt werden: Getrommelte Flächen sind gewölbt, was Umrisse bei üblicher Neigung nicht zeigen. Wer es weiß, macht die Unsicherheit der Längen über den Flächen kleiner.',
    kinds: {
      d4: 'd4, 4 Flächen',
      d6: 'd6, 6 Flächen',
      d8: 'd8, 8 Flächen',
      d10: 'd10, 10 Flächen',
      d12: 'd12, 12 Flächen',
      d20: 'd20, 20 Flächen',
    },
    axis: 'Eine Achse führt von einer Fläche durch den Würfel zur Fläche gegenüber und heißt nach beiden Zahlen.',
    axisOfD4:
      'Ein d4 hat keine Flächen, die sich gegenüberliegen: Eine Achse führt von einer Fläche zur Ecke gegenüber. Ein Foto heißt nach der Fläche, auf der der Würfel steht.',
  },

  photos: {
    failed: 'Dieser Satz ließ sich nicht messen',
    photosKept:
      'Die Fotos bleiben, wie sie sind: Bessern Sie die gekennzeichneten oder lassen Sie sie weg, dann noch einmal messen.',
    heading: 'Fotos',
    about:
      'Welche Zahl oben liegt und welche zum unteren Rand der Karte sieht, wird von den Flächen gelesen. Was nicht sicher ist, bleibt leer und wird gefragt.',
    aboutD4:
      'Auf welcher Fläche der Würfel steht und welche zum unteren Rand der Karte sieht, wird von den Flächen gelesen. Was nicht sicher ist, bleibt leer und wird gefragt.',
    reading: 'Zahlen werden gelesen',
    inTens: 'Dieser d10 trägt Zehner; genannt wird die erste Ziffer: 8 steht für 80, 0 für 00.',
    stands: (kind, up, front) => (kind === 'd4' ? `Steht auf ${up}, ${front} vorn` : `${up} oben, ${front} vorn`),
    upAlone: (kind, up) => (kind === 'd4' ? `Steht auf ${up}` : `${up} oben`),
    frontOpen:
      'Keine Fläche sagt sicher, welche Zahl vorn ist. Die Umrisse aller Fotos sagen es beim Messen; wo sie es nicht können, tragen die Längen diese Unsicherheit.',
    fromContradicted: 'Angegeben; die Flächen zeigen anderes.',
    frontLeft: 'Von den Flächen gelesen; was vorn ist, sagen die Umrisse.',
    frontAsked: 'Wählen Sie die Zahl vorn: Ohne sie wird das Foto weggelassen.',
    someOpen: (n, all) =>
      n === 1
        ? `Von 1 Foto von ${all} ist nur die Zahl oben gelesen.`
        : `Von ${n} Fotos von ${all} ist nur die Zahl oben gelesen.`,
    from: (from, chance) =>
      from === 'read'
        ? chance === null
          ? 'Von den Flächen gelesen.'
          : `Von den Flächen gelesen; angegebene Irrtumswahrscheinlichkeit ${chanceText(chance, 'unter')}.`
        : from === 'confirmed'
          ? 'Angegeben, und die Flächen stimmen zu.'
          : 'Angegeben; die Flächen sagen es nicht.',
    correct: 'Berichtigen',
    keep: 'So lassen',
    notKnown: 'Noch nicht bekannt',
    askFirst: 'Welche Zahl steht auf dieser Fläche?',
    askNext: 'Und auf dieser?',
    askAgain: 'Von vorn',
    askHow:
      'Tippen Sie auf die Zahl, die Sie sehen. Eine andere Fläche: tippen Sie sie im Bild des Würfels an. Zwei Flächen genügen.',
    cannotStand: 'Diese beiden Zahlen können auf diesem Würfel nicht so stehen. Sehen Sie noch einmal hin.',
    contradicted: (up, front) => `Die Flächen zeigen nicht ${up} oben und ${front} vorn, wie angegeben.`,
    contradictedLook: 'Sehen Sie das Bild an, und berichtigen Sie es.',
    facesShow: (up, front) => `Sie zeigen ${up} oben und ${front} vorn.`,
    faceStraight: 'Die Fläche, gerade von vorn gesehen',
    dieSeen: (photo) => `Der Würfel in ${photo}`,
    faces: 'Sichtbare Flächen',
    face: (i, n, label) =>
      label === null ? `Fläche ${i} von ${n} sichtbaren` : `Fläche ${i} von ${n} sichtbaren, Zahl ${label}`,
    looksLike: (kind, chosen) => `Das sieht nach einem ${kind} aus, nicht nach einem ${chosen}.`,
    takeKind: (kind) => `Es ist ein ${kind}`,
    someUnknown: (n, all) =>
      n === 1
        ? `Die Zahlen von 1 Foto von ${all} sind nicht bekannt.`
        : `Die Zahlen von ${n} Fotos von ${all} sind nicht bekannt.`,
    someUnknownAbout:
      'Sie bleiben beim Messen weg, und das Ergebnis sagt es. Tippen Sie an, was Sie sehen, um sie zu verwenden.',
    someContradicted: (n) =>
      n === 1
        ? 'Den Zahlen, die für 1 Foto angegeben sind, widersprechen seine Flächen.'
        : `Den Zahlen, die für ${n} Fotos angegeben sind, widersprechen ihre Flächen.`,
    someContradictedAbout: 'Das Ergebnis und jeder Bericht werden es sagen. Sehen Sie sie an, bevor Sie messen.',
    add: 'Fotos hinzufügen',
    folder: 'Ordner hinzufügen',
    choose: 'Fotos wählen',
    none: 'Noch keine Fotos. Irgendwo auf dieser Seite ablegen, einfügen oder auswählen.',
    order: 'Reihenfolge',
    byNames: 'nach Namen',
    byTimes: 'nach Aufnahmezeit',
    up: 'Oben',
    upOfD4: 'Steht auf',
    front: 'Vorn',
    of: (field, photo) => `${field}, ${photo}`,
    missing: 'Fehlt',
    leaveOut: 'Weglassen',
    putBack: 'Zurückholen',
    retake: 'Ersetzen',
    leaveOutOf: (photo) => `${photo} weglassen`,
    putBackOf: (photo) => `${photo} zurückholen`,
    retakeOf: (photo) => `${photo} durch ein anderes Foto ersetzen`,
    waiting: 'Wartet',
    judging: 'Wird angesehen',
    byYou: 'Von Ihnen weggelassen',
    status: { used: 'Brauchbar', 'used-with-remark': 'Brauchbar, mit Hinweis', 'left-out': 'Unbrauchbar' },
    jobFault: (message) => `Die Auftragsdatei wurde nicht verwendet. ${message}.`,
    unnamed: (count) => `${count} Fotos der Auftragsdatei fehlen hier.`,
    ignored: (count) =>
      `${count} andere Dateien des Ordners wurden übergangen: Sie sind keine Fotos oder mehr als die ${MOST_SHOTS} eines Würfels.`,
    takenAt: (time) => `aufgenommen ${time}`,
    timesUnknown: 'Die Fotos sagen nicht, wann sie aufgenommen wurden.',
    takeSuggestion: (up, front) => `${up} oben, ${front} vorn übernehmen`,
    offered: (names) =>
      names.length === 1
        ? `Die Form spricht in ${names[0]} für andere Zahlen.`
        : `Die Form spricht in ${names.length} Fotos für andere Zahlen (${names.join(', ')}).`,
    offeredAbout:
      'Sie sagt nur, wie die Fotos zueinander stehen, und hält die Zahlen der übrigen für richtig: Sehen Sie bei einem selbst nach. Beim erneuten Messen können weitere auffallen.',
    confused: (names) => `Die Zahlen von ${names.join(', ')} passen nicht zusammen.`,
    confusedAbout:
      'Das ist die Hälfte der Fotos oder mehr: Die Form kann nicht sagen, welche davon stimmen. Vergleichen Sie die Zahlen mit den Fotos, berichtigen Sie ein oder zwei, und messen Sie neu.',
    takeAll: (count) => (count === 1 ? 'Übernehmen und neu messen' : `Alle ${count} übernehmen und neu messen`),
  },
};

export const PHOTO_WORDS: Catalogue<typeof en> = { en, de };
