import type { WorkerFailure } from '../kit/worker-client.ts';
import type { Catalogue } from '../kit/catalogue.ts';

interface Told {
  readonly text: string;
  readonly advice: string;
}

const en = {
  nothing: {
    none: 'Nothing has been measured yet.',
    toPhotos: 'To the photos',
    toStart: 'To the sample',
  },
  name: 'Evencast',
  purpose: 'How true a die is, measured from photos on a printed card. Nothing leaves this device.',

  shell: {
    rooms: 'Rooms',
    language: 'Language',
    more: 'More',
    toStart: 'Evencast, to the start',
    skip: 'To the content',
    install: 'Install on this device',
    fetching: 'Fetching this room',
    roomFault: {
      text: 'This room did not arrive.',
      advice: 'See that there is a network connection, and load the page again. What you entered is kept.',
    },
    slow: {
      text: 'This room has been on its way for more than ten seconds.',
      advice: 'See that there is a network connection; if it goes on, load the page again. What you entered is kept.',
    },
    broken: (room: string, die: string): Told => ({
      text: `The room “${room}” met something that it cannot show, with the die “${die}” on the bench.`,
      advice:
        'Nothing is lost: save everything kept as a file, then set the cause aside. The die stays on the shelf, what the room kept stays in that file.',
    }),
    brokenSave: 'Save everything kept as a file',
    brokenAside: 'Set it aside and go on',
    brokenAgain: 'Try again',
    brokenNoFile: {
      text: 'No file could be made of what is kept: something in it cannot be read, or the browser keeps nothing.',
      advice: 'Setting aside does not remove anything; save single dice from the shelf afterwards.',
    },
    newer: 'A newer version of this page is ready. Nothing you entered is lost by the change.',
    update: 'Change to it now',
    offline: 'Ready to work without a network.',
    offlineFailed:
      'The page could not be stored for work without a network: a file did not arrive whole, or storage is full. With a network everything works; it is tried again at the next visit.',
  },

  sheet: {
    die: 'Die',
    photos: 'Photos',
    photosCount: (used: number, all: number) => (used === all ? `${all}` : `${used} of ${all}`),
    card: 'Card',
    checked: 'checked',
    unchecked: 'not checked',
    state: 'State',
    none: 'none',
    noDie: 'none',
    notTold: 'not told yet',
    startAgain: 'New die',
    undo: 'Undo',
    undoIt: (what: string) => `Undo: ${what}`,
    redo: 'Redo',
    redoIt: (what: string) => `Redo: ${what}`,
  },

  drop: 'Drop the photos here',

  arrived: {
    heading: (files: number) => (files === 1 ? 'A photo: of which die?' : `${files} files: of which die?`),
    about: (die: string, photos: number) =>
      `On the bench lies a ${die} with ${photos === 1 ? '1 photo' : `${photos} photos`}. Whichever you choose, it stays kept.`,
    another: 'A new die',
    same: (die: string) => `This die (${die})`,
    neither: 'Neither',
  },

  cautions: [
    'Not for gaming for money: a result of this page is no certificate. There the law, the regulator and accredited laboratories decide.',
    'Keep small dice from small children: they can choke on them.',
    'Use diffuse light, and let no lamp shine into your eyes.',
  ],

  stopped: (why: WorkerFailure): Told => {
    switch (why.code) {
      case 'cancelled':
        return { text: 'Cancelled.', advice: '' };
      case 'worker-outdated':
        return {
          text: `This page is newer than a part of it that the browser kept (${String(why.seen)} seen, ${why.needed} needed).`,
          advice: 'Load the page again.',
        };
      case 'no-workers':
        return {
          text: 'This browser starts no workers here, and photos are measured in one.',
          advice:
            'Open the page in another browser, or allow it to run workers. Your entries and photos are still here.',
        };
      case 'worker-stopped':
        return {
          text: 'Image processing stopped by itself.',
          advice:
            'Your entries and photos are still here. Close other tabs if memory is short, and measure again; smaller or fewer photos need less.',
        };
    }
  },
};

const de: typeof en = {
  nothing: {
    none: 'Noch wurde nichts gemessen.',
    toPhotos: 'Zu den Fotos',
    toStart: 'Zum Beispiel',
  },
  name: 'Evencast',
  purpose:
    'Wie gleichmäßig ein Würfel ist, gemessen aus Fotos auf einer gedruckten Karte. Nichts verlässt dieses Gerät.',

  shell: {
    rooms: 'Räume',
    language: 'Sprache',
    more: 'Mehr',
    toStart: 'Evencast, zum Start',
    skip: 'Zum Inhalt',
    install: 'Auf diesem Gerät einrichten',
    fetching: 'Dieser Raum wird geholt',
    roomFault: {
      text: 'Dieser Raum kam nicht an.',
      advice: 'Netzverbindung prüfen und die Seite neu laden. Eingaben bleiben erhalten.',
    },
    slow: {
      text: 'Dieser Raum ist seit mehr als zehn Sekunden unterwegs.',
      advice: 'Netzverbindung prüfen; wenn es dabei bleibt, die Seite neu laden. Eingaben bleiben erhalten.',
    },
    broken: (room, die) => ({
      text: `Der Raum „${room}“ traf auf etwas, das er nicht zeigen kann; auf der Werkbank lag der Würfel „${die}“.`,
      advice:
        'Verloren ist nichts: alles Aufbewahrte als Datei speichern, dann die Ursache beiseitelegen. Der Würfel bleibt im Regal, was der Raum aufbewahrte, steht in der Datei.',
    }),
    brokenSave: 'Alles Aufbewahrte als Datei speichern',
    brokenAside: 'Beiseitelegen und weitermachen',
    brokenAgain: 'Noch einmal versuchen',
    brokenNoFile: {
      text: 'Aus dem Aufbewahrten ließ sich keine Datei machen: etwas darin ist nicht lesbar, oder der Browser bewahrt nichts auf.',
      advice: 'Beiseitelegen entfernt nichts; einzelne Würfel lassen sich danach aus dem Regal speichern.',
    },
    newer: 'Eine neuere Fassung dieser Seite liegt bereit. Beim Wechsel geht keine Eingabe verloren.',
    update: 'Jetzt wechseln',
    offline: 'Bereit zum Arbeiten ohne Netz.',
    offlineFailed:
      'Die Seite ließ sich nicht für die Arbeit ohne Netz speichern: eine Datei kam nicht ganz an, oder der Speicher ist voll. Mit Netz geht alles; beim nächsten Besuch wird es wieder versucht.',
  },

  sheet: {
    die: 'Würfel',
    photos: 'Fotos',
    photosCount: (used, all) => (used === all ? `${all}` : `${used} von ${all}`),
    card: 'Karte',
    checked: 'geprüft',
    unchecked: 'nicht geprüft',
    state: 'Stand',
    none: 'keine',
    noDie: 'keiner',
    notTold: 'noch offen',
    startAgain: 'Neuer Würfel',
    undo: 'Rückgängig',
    undoIt: (what) => `Rückgängig: ${what}`,
    redo: 'Wiederholen',
    redoIt: (what) => `Wiederholen: ${what}`,
  },

  drop: 'Fotos hier ablegen',

  arrived: {
    heading: (files) => (files === 1 ? 'Ein Foto: von welchem Würfel?' : `${files} Dateien: von welchem Würfel?`),
    about: (die, photos) =>
      `Auf dem Tisch liegt: ${die} mit ${photos === 1 ? '1 Foto' : `${photos} Fotos`}. Er bleibt in jedem Fall aufbewahrt.`,
    another: 'Ein neuer Würfel',
    same: (die) => `Dieser Würfel (${die})`,
    neither: 'Keiner von beiden',
  },

  cautions: [
    'Nicht für Spiele um Geld: Ein Ergebnis dieser Seite ist kein Zertifikat. Dort entscheiden Gesetz, Aufsicht und akkreditierte Labore.',
    'Kleine Würfel von kleinen Kindern fernhalten: Sie können daran ersticken.',
    'Weiches Licht verwenden und keine Lampe in die Augen scheinen lassen.',
  ],

  stopped: (why) => {
    switch (why.code) {
      case 'cancelled':
        return { text: 'Abgebrochen.', advice: '' };
      case 'worker-outdated':
        return {
          text: `Diese Seite ist neuer als ein Teil von ihr, den der Browser aufbewahrt hat (${String(why.seen)} gesehen, ${why.needed} nötig).`,
          advice: 'Die Seite neu laden.',
        };
      case 'no-workers':
        return {
          text: 'Dieser Browser startet hier keine Worker, und in einem solchen werden Fotos gemessen.',
          advice:
            'Die Seite in einem anderen Browser öffnen, oder ihr Worker erlauben. Eingaben und Fotos sind noch da.',
        };
      case 'worker-stopped':
        return {
          text: 'Die Bildverarbeitung brach von selbst ab.',
          advice:
            'Eingaben und Fotos sind noch da. Bei knappem Speicher andere Tabs schließen und noch einmal messen; kleinere oder weniger Fotos brauchen weniger.',
        };
    }
  },
};

export const SHELL: Catalogue<typeof en> = { en, de };
