import type { Progress } from '../../formats/result.ts';
import type { Catalogue } from '../kit/catalogue.ts';

const en = {
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
      coarse: 'Finding the die and reading its numbers',
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
      coarse: 'Der Würfel wird gesucht, seine Zahlen werden gelesen',
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

export const WORK_WORDS: Catalogue<typeof en> = { en, de };
