import type { Catalogue } from '../kit/catalogue.ts';

const en = {
  start: {
    heading: 'Measure a die',
    sample: 'See it work',
    sampleAbout: 'Photos of a die come with the page. They are measured here, in your browser.',
    sampleButton: (kind: string, photos: number) => `Measure the sample ${kind} (${photos} photos)`,
    samplesApart: 'Without a network the samples work once they have been measured or kept.',
    keepSamples: 'Keep the samples too (7 MB)',
    sampleFault: (detail: string) =>
      `The sample's photos did not arrive (${detail}). They need a network connection until they are kept; your own photos can be measured without.`,
    own: 'Your own die',
    steps: {
      card: {
        name: 'Print the card',
        text: 'In a colour that the die is not, at 100 %. Measure its two check bars with a ruler.',
        go: 'To the card',
      },
      photos: {
        name: 'Take the photos',
        text: 'Card flat in even, diffuse light, die in the middle of the stage. From above, leaning a little; the whole card in each photo. Then turn the die to another number.',
        go: 'To the photos',
      },
      files: {
        name: 'Give them to the page',
        text: 'Drop them anywhere, paste them or choose them, in any order. Each is judged at once.',
      },
    },
    choose: 'Choose photos',
    formats: 'JPEG or PNG, as the camera wrote them. A job.json among them is read.',
  },
};

const de: typeof en = {
  start: {
    heading: 'Einen Würfel messen',
    sample: 'So geht es',
    sampleAbout: 'Fotos eines Würfels liegen der Seite bei. Sie werden hier gemessen, in Ihrem Browser.',
    sampleButton: (kind, photos) => `Beispiel ${kind} messen (${photos} Fotos)`,
    samplesApart: 'Ohne Netz gehen die Beispiele, sobald sie einmal gemessen oder behalten wurden.',
    keepSamples: 'Auch die Beispiele behalten (7 MB)',
    sampleFault: (detail) =>
      `Die Fotos des Beispiels kamen nicht an (${detail}). Bis sie behalten sind, brauchen sie eine Netzverbindung; eigene Fotos lassen sich ohne sie messen.`,
    own: 'Ihr eigener Würfel',
    steps: {
      card: {
        name: 'Karte drucken',
        text: 'In einer Farbe, die der Würfel nicht hat, mit 100 %. Die beiden Prüfstrecken mit dem Lineal messen.',
        go: 'Zur Karte',
      },
      photos: {
        name: 'Fotos aufnehmen',
        text: 'Karte eben in gleichmäßigem, weichem Licht, Würfel in der Mitte der Bühne. Von oben, etwas geneigt; in jedem Foto die ganze Karte. Dann den Würfel auf eine andere Zahl drehen.',
        go: 'Zu den Fotos',
      },
      files: {
        name: 'Der Seite geben',
        text: 'Irgendwo ablegen, einfügen oder auswählen, in beliebiger Reihenfolge. Jedes wird sofort beurteilt.',
      },
    },
    choose: 'Fotos auswählen',
    formats: 'JPEG oder PNG, wie die Kamera sie schrieb. Eine job.json darunter wird gelesen.',
  },
};

export const START_WORDS: Catalogue<typeof en> = { en, de };
