import { STAGE_ADVICE } from '../../report/forms/stages.ts';
import type { Catalogue } from '../kit/catalogue.ts';

/** A colour of dice, and why it is advised what it is. */
interface DieColour {
  readonly name: string;
  readonly why: string;
}

const en = {
  card: {
    heading: 'Print the card',
    paper: 'Paper',
    papers: { a4: 'A4 (210 × 297 mm)', letter: 'US Letter (8.5 × 11 in)' },
    stage: 'Stage colour',
    stages: { white: 'white', grey: 'grey', black: 'black', blue: 'blue', green: 'green' },
    stageAbout: 'The stage should have the colour that the die is not.',
    dieColour: 'Colour of the die',
    anyColour: 'not said',
    /** By the name of the colour in `report/stages.ts`. */
    dice: Object.fromEntries(STAGE_ADVICE.map(({ die, why }) => [die, { name: die, why }])) as Record<
      string,
      DieColour
    >,
    first: (stage: string) => `Best: ${stage}`,
    second: (stage: string) => `also: ${stage}`,
    unadvised: 'For this die another stage shows a plainer outline.',
    take: (stage: string) => `Take ${stage}`,
    make: 'Make the card (PDF)',
    making: 'Making the card',
    fault: 'The card could not be made. Load the page again and try once more.',
    steps: [
      'Print at 100 % ("actual size", not "fit to page") on matt paper; lay it flat, a bowed card costs accuracy.',
      'Measure both bars from tick to tick, to 0.1 mm or better.',
      'Enter both lengths here, once per printed card. 0.1 mm misread makes every axis of a 20 mm die wrong by 0.02 mm.',
    ],
  },

  cards: {
    heading: 'Printed cards',
    about:
      'A printed card is measured once. Name it (and write the name on it), so that its lengths need not be asked again.',
    scale: 'Card',
    fromJob: 'as the job file says',
    measure: 'Print or measure a card',
    useIt: 'in use',
    removeIt: 'Remove',
    use: 'Card in use',
    unchecked: 'a card that was not measured',
    newName: (n: number) => `Card ${n}`,
    add: 'Add a printed card',
    name: 'Name',
    length: (which: 'X' | 'Y') => `Bar ${which} (nominal 100 mm)`,
    doubt: 'Standard uncertainty of the reading',
    doubtAbout: 'Half a tenth of a millimetre is common practice for a ruler, 0.02 mm for calipers.',
    doubtWrong: (low: string, high: string) => `A number of ${low} to ${high} mm is needed.`,
    wrong: (low: number, high: number) => `A length of ${low} to ${high} mm is needed.`,
    remove: (name: string) => `Remove ${name}`,
    none: 'No card has been measured yet.',
    byBank: 'No ruler? Use a bank card',
    byBankAbout:
      'A bank card is 85.60 × 53.98 mm (ISO/IEC 7810, ID-1). Lay one in the frame printed for it below the bars, into one corner, and estimate how much wider and higher the frame is than the card; below zero where the card covers the line. A ruler and a photo do better.',
    frameWider: 'Frame wider by',
    frameHigher: 'Frame higher by',
    frameWrong: (low: number, high: number) => `A number of ${low} to ${high} is needed.`,
    takeFrame: 'Take as lengths of the bars',
    state: {
      none: 'Without lengths every result carries a wide common doubt (a print "fit to page" is 2 to 4 % small); differences between the axes share it in proportion only.',
      one: 'One bar gives the size; how far the print is stretched along the other, the photos of the card tell. A second bar checks it.',
      both: 'Both bars are known: the doubt of all lengths follows from the uncertainty given.',
    },
  },
};

const de: typeof en = {
  card: {
    heading: 'Karte drucken',
    paper: 'Papier',
    papers: { a4: 'A4 (210 × 297 mm)', letter: 'US Letter (8,5 × 11 Zoll)' },
    stage: 'Farbe der Bühne',
    stages: { white: 'weiß', grey: 'grau', black: 'schwarz', blue: 'blau', green: 'grün' },
    stageAbout: 'Die Bühne soll die Farbe haben, die der Würfel nicht hat.',
    dieColour: 'Farbe des Würfels',
    anyColour: 'nicht angegeben',
    dice: {
      'black or very dark': {
        name: 'schwarz oder sehr dunkel',
        why: 'Je heller die Bühne, desto deutlicher der Umriss.',
      },
      'white, ivory or pale': {
        name: 'weiß, elfenbein oder blass',
        why: 'Ein blasser Würfel auf weißem Papier hat keinen Umriss.',
      },
      'grey or metal': {
        name: 'grau oder metallisch',
        why: 'Metall spiegelt die Bühne: Versuchen Sie beide und behalten Sie die mit dem deutlicheren Umriss.',
      },
      'red, orange or brown': { name: 'rot, orange oder braun', why: 'Weiß für dunkle Töne, Blau für helle.' },
      'yellow or gold': { name: 'gelb oder golden', why: 'Gelb ist fast so hell wie Papier.' },
      green: { name: 'grün', why: 'Weiß für dunkles Grün, Schwarz für helles.' },
      'blue or violet': { name: 'blau oder violett', why: 'Weiß für dunkles Blau, Grün für helles.' },
      'clear or cloudy': {
        name: 'klar oder trüb',
        why: 'Ein klarer Würfel zeigt die Bühne durch sich hindurch; erwarten Sie größere Unsicherheit.',
      },
      'of several colours': {
        name: 'mehrfarbig',
        why: 'Nehmen Sie eine Bühne, der im Foto, nach Augenmaß, keine seiner Farben nahekommt.',
      },
    },
    first: (stage) => `Am besten: ${stage}`,
    second: (stage) => `auch: ${stage}`,
    unadvised: 'Für diesen Würfel zeigt eine andere Bühne den Umriss deutlicher.',
    take: (stage) => `${stage} nehmen`,
    make: 'Karte erzeugen (PDF)',
    making: 'Karte wird erzeugt',
    fault: 'Die Karte ließ sich nicht erzeugen. Seite neu laden und noch einmal versuchen.',
    steps: [
      'Mit 100 % drucken („tatsächliche Größe“, nicht „an Seite anpassen“), auf mattem Papier; eben hinlegen, eine gewölbte Karte kostet Genauigkeit.',
      'Beide Strecken von Strich zu Strich messen, auf 0,1 mm oder besser.',
      'Beide Längen hier eintragen, einmal je gedruckter Karte. 0,1 mm falsch abgelesen verfälscht jede Achse eines Würfels von 20 mm um 0,02 mm.',
    ],
  },

  cards: {
    heading: 'Gedruckte Karten',
    about:
      'Eine gedruckte Karte wird einmal gemessen. Geben Sie ihr einen Namen (und schreiben Sie ihn darauf), dann wird nicht wieder nach ihren Längen gefragt.',
    scale: 'Karte',
    fromJob: 'wie die Auftragsdatei sagt',
    measure: 'Karte drucken oder messen',
    useIt: 'in Gebrauch',
    removeIt: 'Entfernen',
    use: 'Karte in Gebrauch',
    unchecked: 'eine nicht gemessene Karte',
    newName: (n) => `Karte ${n}`,
    add: 'Gedruckte Karte hinzufügen',
    name: 'Name',
    length: (which) => `Strecke ${which} (Nennmaß 100 mm)`,
    doubt: 'Standardunsicherheit der Ablesung',
    doubtAbout: 'Ein halbes Zehntel Millimeter ist bei einem Lineal üblich, 0,02 mm bei einem Messschieber.',
    doubtWrong: (low, high) => `Eine Zahl von ${low} bis ${high} mm ist nötig.`,
    wrong: (low, high) => `Eine Länge von ${low} bis ${high} mm ist nötig.`,
    remove: (name) => `${name} entfernen`,
    none: 'Noch wurde keine Karte gemessen.',
    byBank: 'Kein Lineal? Nehmen Sie eine Bankkarte',
    byBankAbout:
      'Eine Bankkarte misst 85,60 × 53,98 mm (ISO/IEC 7810, ID-1). Legen Sie eine in den Rahmen, der unter den Strecken für sie gedruckt ist, in eine Ecke, und schätzen Sie, um wie viel der Rahmen breiter und höher ist als die Karte; unter null, wo die Karte die Linie verdeckt. Ein Lineal und ein Foto sind genauer.',
    frameWider: 'Rahmen breiter um',
    frameHigher: 'Rahmen höher um',
    frameWrong: (low, high) => `Eine Zahl von ${low} bis ${high} ist nötig.`,
    takeFrame: 'Als Längen der Strecken übernehmen',
    state: {
      none: 'Ohne Längen trägt jedes Ergebnis eine große gemeinsame Unsicherheit (ein „an die Seite angepasster“ Druck ist 2 bis 4 % zu klein); Unterschiede zwischen den Achsen teilen sie nur anteilig.',
      one: 'Eine Strecke gibt die Größe; wie weit der Druck in der anderen Richtung gestreckt ist, verraten die Fotos der Karte. Eine zweite Strecke prüft das.',
      both: 'Beide Strecken sind bekannt: Die Unsicherheit aller Längen folgt aus der angegebenen.',
    },
  },
};

export const CARD_WORDS: Catalogue<typeof en> = { en, de };
