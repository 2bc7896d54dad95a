import type { LiveAdvice } from '../../live/sight.ts';
import type { CameraFault } from './camera.svelte.ts';
import type { Catalogue } from '../kit/catalogue.ts';

const en = {
  heading: 'Camera',
  close: 'Close the camera',
  take: 'Take the photo',
  taking: 'Taking the photo',
  taken: (name: string) => `Taken: ${name}`,
  which: 'Camera',
  unnamed: (number: number) => `Camera ${number}`,
  torch: 'Light',
  torchNote: 'A lamp at the camera makes highlights: use it only where it is dark.',
  auto: 'Take by itself',
  autoChoices: {
    planned: 'when all is well and the lean is as planned',
    any: 'when all is well, at any lean',
    off: 'never: I tap',
  },
  starting: 'Starting the camera',
  starting2: 'Starting image processing',
  video: 'What the camera sees',
  lean: (now: string, wanted: string) => `Lean ${now}, wanted ${wanted}`,
  leanUnknown: (wanted: string) => `Lean –, wanted ${wanted}`,
  frame: (width: number, height: number) => `${width} × ${height} px`,
  still: 'photos at full resolution',
  unread: 'Which number is up is read as soon as the faces show it.',
  sees: (up: string, front: string | null) =>
    front === null ? `${up} is up.` : `${up} is up, ${front} looks to the card’s lower edge.`,
  seesD4: (down: string, front: string | null) =>
    front === null ? `It stands on ${down}.` : `It stands on ${down}, ${front} looks to the card’s lower edge.`,
  listed: 'That is on the list.',
  notListed: (stand: string) => `That is not on the list any more; still wanted: ${stand}.`,
  afterwards: 'Turn the die to the next shot; the camera waits until it was moved.',
  advice: {
    'no-card': 'The card is not found. Hold the camera over it, all of its edge in the picture.',
    'card-cut': 'Part of the card is outside. Go back a little, or shift the camera.',
    'too-far': 'The card is small. Come closer, until it just fits.',
    burnt: 'Too bright: the stage is burnt out. Less light, or a darker stage.',
    dark: 'Too dark. More light, diffuse and from several sides.',
    'no-die': 'No die on the stage. Put it in the middle.',
    'several-dice': 'Several things on the stage. Leave one die alone there.',
    'wrong-side': 'Look from the card’s lower edge, where its text is upright.',
    'lean-more': 'Lean the camera more: lower it towards you, and tilt it back to the die.',
    'lean-less': 'Lean the camera less: hold it more straight above.',
    'hold-still': 'Hold still.',
    blur: 'Not sharp. Hold stiller; or go back a little and come closer again, so that the camera focuses anew.',
    good: 'Good.',
  } satisfies Record<LiveAdvice, string>,
  fault: {
    'no-camera': 'No camera was found. Choose photos from files instead.',
    denied:
      'The browser was not allowed to use the camera. Allow it in the address bar for this page, or choose photos from files.',
    busy: 'The camera is in use by another program, or did not start. Close the other program and open the camera again.',
    'no-photo': 'The camera gave no photo. Try again, or choose a photo from files.',
    lost: 'The camera was taken away. Open it again.',
    looking: 'Image processing stopped: the photo can still be taken by a tap.',
  } satisfies Record<CameraFault, string>,
};

const de: typeof en = {
  heading: 'Kamera',
  close: 'Kamera schließen',
  take: 'Foto aufnehmen',
  taking: 'Foto wird aufgenommen',
  taken: (name) => `Aufgenommen: ${name}`,
  which: 'Kamera',
  unnamed: (number) => `Kamera ${number}`,
  torch: 'Licht',
  torchNote: 'Eine Lampe an der Kamera macht Glanzlichter: nur nutzen, wo es dunkel ist.',
  auto: 'Von selbst aufnehmen',
  autoChoices: {
    planned: 'wenn alles gut ist und die Neigung wie geplant',
    any: 'wenn alles gut ist, bei jeder Neigung',
    off: 'nie: ich tippe',
  },
  starting: 'Kamera startet',
  starting2: 'Bildverarbeitung startet',
  video: 'Was die Kamera sieht',
  lean: (now, wanted) => `Neigung ${now}, gewünscht ${wanted}`,
  leanUnknown: (wanted) => `Neigung –, gewünscht ${wanted}`,
  frame: (width, height) => `${width} × ${height} px`,
  still: 'Fotos in voller Auflösung',
  unread: 'Welche Zahl oben liegt, wird gelesen, sobald die Flächen es zeigen.',
  sees: (up, front) =>
    front === null ? `${up} liegt oben.` : `${up} liegt oben, ${front} sieht zum unteren Rand der Karte.`,
  seesD4: (down, front) =>
    front === null
      ? `Er steht auf der ${down}.`
      : `Er steht auf der ${down}, ${front} sieht zum unteren Rand der Karte.`,
  listed: 'Das steht auf der Liste.',
  notListed: (stand) => `Das steht nicht mehr auf der Liste; noch gesucht: ${stand}.`,
  afterwards: 'Den Würfel für die nächste Aufnahme drehen; die Kamera wartet, bis er bewegt wurde.',
  advice: {
    'no-card': 'Die Karte ist nicht zu finden. Die Kamera darüber halten, den ganzen Rand im Bild.',
    'card-cut': 'Ein Teil der Karte liegt außerhalb. Etwas zurückgehen oder die Kamera verschieben.',
    'too-far': 'Die Karte ist klein. Näher kommen, bis sie gerade hineinpasst.',
    burnt: 'Zu hell: die Bühne ist überbelichtet. Weniger Licht oder eine dunklere Bühne.',
    dark: 'Zu dunkel. Mehr Licht, diffus und von mehreren Seiten.',
    'no-die': 'Kein Würfel auf der Bühne. Ihn in die Mitte legen.',
    'several-dice': 'Mehrere Dinge auf der Bühne. Nur einen Würfel dort lassen.',
    'wrong-side': 'Vom unteren Rand der Karte her schauen, wo ihre Schrift aufrecht steht.',
    'lean-more': 'Die Kamera mehr neigen: zu sich hin senken und auf den Würfel richten.',
    'lean-less': 'Die Kamera weniger neigen: mehr von gerade oben halten.',
    'hold-still': 'Stillhalten.',
    blur: 'Nicht scharf. Ruhiger halten; oder etwas zurückgehen und wieder näher kommen, damit die Kamera neu scharf stellt.',
    good: 'Gut.',
  },
  fault: {
    'no-camera': 'Keine Kamera gefunden. Stattdessen Fotos aus Dateien wählen.',
    denied:
      'Der Browser durfte die Kamera nicht nutzen. In der Adresszeile für diese Seite erlauben, oder Fotos aus Dateien wählen.',
    busy: 'Die Kamera wird von einem anderen Programm genutzt oder startete nicht. Das andere Programm schließen und die Kamera neu öffnen.',
    'no-photo': 'Die Kamera gab kein Foto. Noch einmal versuchen, oder ein Foto aus Dateien wählen.',
    lost: 'Die Kamera wurde weggenommen. Sie neu öffnen.',
    looking: 'Die Bildverarbeitung hielt an: ein Foto lässt sich noch durch Tippen aufnehmen.',
  },
};

/** Words of the live camera. */
export const CAMERA_WORDS: Catalogue<typeof en> = { en, de };
