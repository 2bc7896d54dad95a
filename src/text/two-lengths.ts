import type { Language } from './language.ts';

/** Why two lengths of an axis are shown, and what narrows the wider one; by what `judging/two-lengths.ts` finds. */
export const TWO_LENGTHS: Readonly<Record<Language, Readonly<Record<'doubt' | 'crowned', string>>>> = {
  en: {
    doubt:
      'Over the faces, as jaws touch, a length holds the crowns of both faces, which no photo shows well enough here. Its doubt shrinks when the finish of the faces or the test on glass is given with the die, or with a photo that sees a face edge-on.',
    crowned: 'Over the faces, as jaws touch, a length is longer than at the edges by the crowns of both faces.',
  },
  de: {
    doubt:
      'Über den Flächen, wie Messbacken sie berühren, enthält eine Länge die Wölbungen beider Flächen, die hier kein Foto gut genug zeigt. Ihre Unsicherheit wird kleiner, wenn Sie beim Würfel die Oberfläche oder den Versuch auf Glas angeben oder wenn ein Foto eine Fläche genau von der Kante sieht.',
    crowned:
      'Über den Flächen, wie Messbacken sie berühren, ist eine Länge um die Wölbungen beider Flächen größer als an den Kanten.',
  },
};
