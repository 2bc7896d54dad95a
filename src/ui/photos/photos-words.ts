import type { DieKind } from '../../geometry/solid.ts';
import type { PhotoStatus, Progress } from '../../formats/result.ts';
import type { Catalogue } from '../kit/catalogue.ts';

const en = {
  die: {
    heading: 'Die',
    kind: 'Kind of die',
    name: 'Name of this die',
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
    heading: 'Photos',
    about: 'For each photo: the number on top, and the number on the face towards the lower edge of the card.',
    aboutD4: 'For each photo: the number of the face it stands on, and of the face towards the lower edge of the card.',
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
    ignored: (count: number) => `${count} other files of the folder were passed over.`,
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
    guessed: (count: number) =>
      count === 1
        ? 'The numbers of 1 photo were taken from its place among the photos.'
        : `The numbers of ${count} photos were taken from their order.`,
    guessedAgrees: 'The shape does not speak against them. Look at one or two yourself all the same.',
    guessedUntold:
      'The shape cannot tell whether they are right: no axes differ by more than their doubt. Where they are wrong, lengths stand under wrong names. Compare the numbers with the photos.',
  },

  work: {
    measure: 'Measure',
    again: 'Measure again',
    answer: 'To the answer',
    noPhotos: 'Photos are needed first.',
    cancel: 'Cancel',
    judging: 'Looking at the photos',
    measuring: 'Measuring',
    stage: {
      start: 'Starting image processing',
      decode: 'Reading a photo',
      card: 'Finding the card',
      calibrate: 'Working out the camera',
      coarse: 'Finding the die',
      edges: 'Tracing the outline',
      fit: 'Fitting the shape',
    } satisfies Record<Progress['stage'] | 'start', string>,
    left: (seconds: string) => `about ${seconds} left`,
    idle: 'Ready',
    measured: 'Measured',
    stale: 'Changed since',
    failed: 'Not measured',
    changed: 'Changed since the result below. Measure again to bring it up to date.',
    resumed: 'The page was closed while it measured. It goes on from the photos kept.',
  },
};

const de: typeof en = {
  die: {
    heading: 'Würfel',
    kind: 'Art des Würfels',
    name: 'Name dieses Würfels',
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
    heading: 'Fotos',
    about: 'Zu jedem Foto: die Zahl oben und die Zahl auf der Fläche zum unteren Rand der Karte hin.',
    aboutD4: 'Zu jedem Foto: die Zahl der Fläche, auf der er steht, und der Fläche zum unteren Rand der Karte hin.',
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
    ignored: (count) => `${count} andere Dateien des Ordners wurden übergangen.`,
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
    guessed: (count) =>
      count === 1
        ? 'Die Zahlen von 1 Foto folgen aus seinem Platz unter den Fotos.'
        : `Die Zahlen von ${count} Fotos folgen aus ihrer Reihenfolge.`,
    guessedAgrees: 'Die Form spricht nicht gegen sie. Sehen Sie trotzdem bei einem oder zweien selbst nach.',
    guessedUntold:
      'Die Form kann nicht sagen, ob sie stimmen: Keine Achsen unterscheiden sich um mehr als ihre Unsicherheit. Wo sie falsch sind, stehen Längen unter falschen Namen. Vergleichen Sie die Zahlen mit den Fotos.',
  },

  work: {
    measure: 'Messen',
    again: 'Noch einmal messen',
    answer: 'Zur Antwort',
    noPhotos: 'Zuerst werden Fotos gebraucht.',
    cancel: 'Abbrechen',
    judging: 'Fotos werden angesehen',
    measuring: 'Messung läuft',
    stage: {
      start: 'Bildverarbeitung wird gestartet',
      decode: 'Ein Foto wird gelesen',
      card: 'Die Karte wird gesucht',
      calibrate: 'Die Kamera wird bestimmt',
      coarse: 'Der Würfel wird gesucht',
      edges: 'Der Umriss wird nachgezogen',
      fit: 'Die Form wird angepasst',
    },
    left: (seconds) => `noch etwa ${seconds}`,
    idle: 'Bereit',
    measured: 'Gemessen',
    stale: 'Seither geändert',
    failed: 'Nicht gemessen',
    changed: 'Seit dem Ergebnis unten geändert. Noch einmal messen, damit es wieder stimmt.',
    resumed: 'Die Seite wurde während der Messung geschlossen. Es geht mit den aufbewahrten Fotos weiter.',
  },
};

export const PHOTO_WORDS: Catalogue<typeof en> = { en, de };
