import { bankMessage, type BankCode, type BankFault } from '../../bank-card/messages.ts';
import type { Message } from '../../text/notes.ts';
import { language } from '../kit/language.svelte.ts';
import { reader, type Catalogue } from '../kit/catalogue.ts';
import { noteIn } from '../kit/note-in.ts';
import { germanNumbers } from '../../text/notes.ts';

const en = {
  byPhoto: 'From a photo',
  byPhotoAbout:
    'Lay the bank card flat on the bare stage, its long side along the ring’s, its ends over the ring, a strip of stage left above and below. Photograph it from straight above with the whole ring in the picture, in soft light, at the camera’s usual zoom.',
  byPhotoPrivate:
    'Turn the card over, or cover its name and number: they are not needed. The photo is measured here; it does not leave this device and is not kept.',
  choosePhoto: 'Take or choose the photo',
  chooseAnother: 'Another photo',
  working: 'Measuring the bank card',
  stop: 'Stop',
  foundBars: (x: string, y: string, u: string) =>
    `Bar X ${x} mm, bar Y ${y} mm, standard uncertainty ${u} mm (U95 is twice that).`,
  checkLines: 'See that the drawn lines run along the edges of the bank card.',
  picture: 'The photo, with the lines found along the bank card’s edges',
  takePhoto: 'Take as lengths of the bars',
  taken: 'Taken as lengths of this card’s bars.',
  replaces: 'The lengths that stand there are replaced; undo brings them back.',
  doubtFrom: 'What the uncertainty is made of',
  source: 'Source',
  sources: {
    size: 'make of the bank card (ISO/IEC 7810)',
    edges: 'where its edges lie in the photo',
    rim: 'wear of its rim; which line of it is seen',
    height: 'flatness of card and paper, thickness',
    camera: 'distance of the camera',
  },
  noFocal:
    'The photo does not say its focal length, which makes the uncertainty larger: give it as the camera wrote it.',
  byEye: 'By eye, in the printed frame',
};

const de: typeof en = {
  byPhoto: 'Aus einem Foto',
  byPhotoAbout:
    'Legen Sie die Bankkarte flach auf die leere Bühne, ihre lange Seite längs des Rings, die Enden über dem Ring, oben und unten ein Streifen Bühne frei. Fotografieren Sie sie senkrecht von oben, mit dem ganzen Ring im Bild, in weichem Licht, im üblichen Zoom der Kamera.',
  byPhotoPrivate:
    'Drehen Sie die Karte um oder decken Sie Namen und Nummer ab: Sie werden nicht gebraucht. Das Foto wird hier gemessen, verlässt dieses Gerät nicht und wird nicht aufbewahrt.',
  choosePhoto: 'Foto aufnehmen oder auswählen',
  chooseAnother: 'Anderes Foto',
  working: 'Bankkarte wird gemessen',
  stop: 'Anhalten',
  foundBars: (x, y, u) => `Strecke X ${x} mm, Strecke Y ${y} mm, Standardunsicherheit ${u} mm (U95 ist das Doppelte).`,
  checkLines: 'Sehen Sie nach, ob die eingezeichneten Linien an den Kanten der Bankkarte liegen.',
  picture: 'Das Foto mit den Linien, die an den Kanten der Bankkarte gefunden wurden',
  takePhoto: 'Als Längen der Strecken übernehmen',
  taken: 'Als Längen der Strecken dieser Karte übernommen.',
  replaces: 'Die dort stehenden Längen werden ersetzt; Rückgängig holt sie zurück.',
  doubtFrom: 'Woraus die Unsicherheit besteht',
  source: 'Quelle',
  sources: {
    size: 'Fertigung der Bankkarte (ISO/IEC 7810)',
    edges: 'Lage ihrer Kanten im Foto',
    rim: 'Abnutzung ihres Rands; welche Linie davon zu sehen ist',
    height: 'Ebenheit von Karte und Papier, Dicke',
    camera: 'Abstand der Kamera',
  },
  noFocal:
    'Das Foto nennt seine Brennweite nicht, was die Unsicherheit vergrößert: Geben Sie es, wie die Kamera es schrieb.',
  byEye: 'Nach Augenmaß, im gedruckten Rahmen',
};

export const BANK_WORDS: Catalogue<typeof en> = { en, de };
export const bankWords = reader(BANK_WORDS);

type Words = (seen: string, needed: string) => Message;

/** The German of `measure/bank-messages.ts`. */
const GERMAN: { readonly [K in BankCode]: Words } = {
  'bank-none': (seen, needed) => ({
    text: `Bankkarte: Linien an ${seen} ihrer Seiten gefunden; ${needed} in ihrem Seitenverhältnis sind nötig.`,
    advice:
      'Legen Sie sie allein auf die Bühne, die lange Seite längs des Rings, oben und unten ein Streifen Bühne frei. Eine helle Karte oder helle Rückseite hebt sich von den schwarzen Feldern des Rings ab; auf weißer Bühne darf sie nicht weiß sein.',
  }),
  'bank-two': (seen, needed) => ({
    text: `Bankkarte: Eine Seite zeigt zwei Linien im Abstand von ${seen} mm; ab ${needed} mm wird nicht entschieden, welche die Kante ist.`,
    advice: 'Weiches Licht ohne harten Schatten, nur eine Karte, und eine Karte mit gedrucktem Rand umdrehen.',
  }),
  'bank-cut': () => ({
    text: 'Die Bühne reicht über das Bild hinaus.',
    advice: 'Der ganze Ring soll im Bild sein.',
  }),
  'bank-small': (seen, needed) => ({
    text: `Das Foto zeigt ${seen} px je Millimeter; ${needed} sind nötig.`,
    advice: 'Gehen Sie näher heran, oder fotografieren Sie mit höherer Auflösung.',
  }),
  'bank-lean': (seen, needed) => ({
    text: `Die Kamera ist um ${seen} Grad geneigt; höchstens ${needed} halten die Seite der Bankkarte außer Sicht.`,
    advice: 'Fotografieren Sie senkrecht über der Mitte der Bühne.',
  }),
  'bank-uneven': (seen, needed) => ({
    text: `Die gefundenen Seiten weichen um ${seen} von denen einer flachen Bankkarte ab; ${needed} werden hingenommen.`,
    advice: 'Legen Sie eine flache, heile Karte auf flaches Papier, und sorgen Sie für ein scharfes Foto.',
  }),
};

const isBankCode = (code: BankFault['code']): code is BankCode => Object.hasOwn(GERMAN, code);

/** The words for a fault in the language in use. */
export function bankFaultIn(fault: BankFault): Message {
  const { code, seen, needed } = fault;
  if (language.current === 'en') return bankMessage(fault);
  if (isBankCode(code)) return GERMAN[code](germanNumbers(String(seen ?? 0)), germanNumbers(String(needed ?? 0)));
  return noteIn({ code, ...(seen === undefined ? {} : { seen }), ...(needed === undefined ? {} : { needed }) });
}
