import { jsonFaultText } from '../../formats/json-text.ts';
import { needText } from '../../text/format-faults.ts';
import type { Language } from '../../text/language.ts';
import type { DieFileFault } from './die-file.ts';
import type { ClosedWhy } from './store.ts';
import type { RecordFault } from './upgrade.ts';
import type { StepKind } from './history.svelte.ts';
import type { Catalogue } from '../kit/catalogue.ts';

type Why = DieFileFault['why'];
type Numbers = { readonly detail: string; readonly seen: string; readonly limit: string };

/** Why a die's file cannot be read, in both languages; a clause without its full stop. */
const WHY: Catalogue<{ readonly [C in Exclude<Why['code'], 'wrong' | 'no-json'>]: (n: Numbers) => string }> = {
  en: {
    stopped: () => 'the work on it stopped',
    broken: () => 'it cannot be laid out',
    newer: ({ seen }) => `a later version of the page wrote it (${seen})`,
    'zip-none': () => 'it is no ZIP archive, or its end is missing',
    'zip-list': () => 'its list of parts is damaged',
    'zip-twice': () => 'two of its parts have one name',
    'zip-overlap': () => 'its parts lie over one another',
    'zip-unpacks': ({ seen, limit }) => `it unpacks to ${seen} bytes, at most ${limit} are taken`,
    'zip-missing': () => 'it is missing',
    'zip-large': ({ seen, limit }) => `${seen} bytes seen, at most ${limit} are taken`,
    'zip-damaged': () => 'it is damaged',
    'zip-cut': () => 'it is cut off or packed in another way',
    'zip-checksum': () => 'it is damaged: its checksum is another',
  },
  de: {
    stopped: () => 'die Arbeit daran brach ab',
    broken: () => 'es lässt sich nicht auslegen',
    newer: ({ seen }) => `eine spätere Fassung der Seite schrieb es (${seen})`,
    'zip-none': () => 'es ist kein ZIP-Archiv, oder sein Ende fehlt',
    'zip-list': () => 'die Liste seiner Teile ist beschädigt',
    'zip-twice': () => 'zwei seiner Teile heißen gleich',
    'zip-overlap': () => 'seine Teile liegen übereinander',
    'zip-unpacks': ({ seen, limit }) => `es wird entpackt ${seen} Byte groß, höchstens ${limit} werden angenommen`,
    'zip-missing': () => 'es fehlt',
    'zip-large': ({ seen, limit }) => `${seen} Byte gesehen, höchstens ${limit} werden angenommen`,
    'zip-damaged': () => 'es ist beschädigt',
    'zip-cut': () => 'es ist abgeschnitten oder anders gepackt',
    'zip-checksum': () => 'es ist beschädigt: seine Prüfsumme ist eine andere',
  },
};

/** Why nothing is kept; a clause. */
const CLOSED: Catalogue<{ readonly [W in ClosedWhy]: string }> = {
  en: {
    'newer-page': 'a newer version of the page is open in another tab, or was used before',
    removed: 'what it kept was removed in another tab or in its settings',
    lost: 'it closed its store',
    forbidden: 'it allows no storage here, as in a private window',
    failed: 'its store does not work',
  },
  de: {
    'newer-page': 'Eine neuere Fassung der Seite ist in einem anderen Tab offen oder wurde vorher benutzt',
    removed: 'Was er aufbewahrte, wurde in einem anderen Tab oder in seinen Einstellungen entfernt',
    lost: 'Er hat seinen Speicher geschlossen',
    forbidden: 'Er erlaubt hier keinen Speicher, etwa in einem privaten Fenster',
    failed: 'Sein Speicher arbeitet nicht',
  },
};

const placeText = ({ place }: RecordFault): string => (place === '' ? '' : `${place}: `);

function whyText(why: Why, language: Language): string {
  if (why.code === 'wrong') return needText({ limit: undefined, ...why }, language);
  if (why.code === 'no-json') return jsonFaultText(why.why, language);
  const text = (part: 'detail' | 'seen' | 'limit'): string => String((why as Partial<Numbers>)[part] ?? '');
  return WHY[language][why.code]({ detail: text('detail'), seen: text('seen'), limit: text('limit') });
}

const en = {
  full: (photos: number) => ({
    text:
      photos === 0
        ? "The browser's storage for this page is full: the last change is not kept yet."
        : `The browser's storage for this page is full: ${photos} photos are not kept yet.`,
    advice:
      'It stays here as long as this page stays open. Save the die as a file, or remove dice that are no longer needed, and try again.',
  }),
  unfit: (why: RecordFault) => ({
    text: `Something that was entered cannot be kept: ${placeText(why)}${whyText(why, 'en')}.`,
    advice: 'Everything else is kept. Enter it otherwise; it stays here as long as this page stays open.',
  }),
  slow: {
    text: 'The browser has not answered for some seconds: the last change is not kept yet.',
    advice: 'It stays here as long as this page stays open, and is kept as soon as the browser answers.',
  },
  closed: (why: ClosedWhy) => ({
    text: `The browser keeps nothing for this page: ${CLOSED.en[why]}.`,
    advice: 'You can go on; save the die as a file before you close the page, or load the page again.',
  }),
  retry: 'Try again',
  elsewhere: {
    text: 'This die is open in another tab.',
    advice: 'Go on there, or close that tab and open it here again.',
  },
  steps: {
    die: 'another die',
    card: 'card',
    kind: 'kind of die',
    finish: 'finish of the faces',
    marks: 'marks on the faces',
    name: 'name',
    photos: 'photos',
    numbers: 'numbers of a photo',
    'left-out': 'photo left out',
    log: 'roll log',
    bars: 'check bars',
  } satisfies Record<StepKind, string>,
  shelf: {
    heading: 'Kept on this device',
    none: 'No die is kept yet. Whatever you enter is kept at once.',
    open: 'Open',
    openOf: (name: string) => `Open ${name}`,
    here: 'on the bench',
    remove: 'Remove',
    removeOf: (name: string) => `Remove ${name}`,
    removed: (name: string) => `${name} was removed; it can be put back until tomorrow.`,
    putBack: 'Put back',
    save: 'Save as file',
    saveOf: (name: string) => `Save as file: ${name}`,
    saveAll: 'Save all as one file',
    bring: 'Bring in a file',
    about: (photos: number, time: string) => `${photos} photos, ${time}`,
    unnamed: (kind: string) => `unnamed ${kind}`,
    brought: (dice: number) => (dice === 1 ? 'One die was brought in.' : `${dice} dice were brought in.`),
    broken: ({ place, why }: DieFileFault) => ({
      text: `The file was not brought in: ${place}: ${whyText(why, 'en')}.`,
      advice: 'Nothing of it was taken over. Save it again where it comes from.',
    }),
    unreadable: (count: number) =>
      `${count} kept dice cannot be read by this version of the page; they are left as they are.`,
    unreadableOthers: (count: number) =>
      `${count} kept cards, lots or other entries cannot be read by this version of the page; they are left as they are.`,
    used: (used: string, most: string) => `${used} of ${most} used`,
    persistent: 'The browser promised to keep it until you remove it.',
    passing: 'The browser may clear it when the device runs short of storage: save what matters as a file.',
    saving: 'Writing the file',
    more: (count: number) => `Show ${count} more`,
  },
};

const de: typeof en = {
  full: (photos) => ({
    text:
      photos === 0
        ? 'Der Speicher des Browsers für diese Seite ist voll: Die letzte Änderung ist noch nicht aufbewahrt.'
        : `Der Speicher des Browsers für diese Seite ist voll: ${photos} Fotos sind noch nicht aufbewahrt.`,
    advice:
      'Solange diese Seite offen ist, bleibt alles da. Sichern Sie den Würfel als Datei oder entfernen Sie nicht mehr gebrauchte und versuchen Sie es noch einmal.',
  }),
  unfit: (why) => ({
    text: `Eine Eingabe kann nicht aufbewahrt werden: ${placeText(why)}${whyText(why, 'de')}.`,
    advice: 'Alles andere ist aufbewahrt. Geben Sie es anders ein; solange diese Seite offen ist, bleibt es da.',
  }),
  slow: {
    text: 'Der Browser antwortet seit einigen Sekunden nicht: Die letzte Änderung ist noch nicht aufbewahrt.',
    advice: 'Sie bleibt hier, solange diese Seite offen ist, und wird aufbewahrt, sobald der Browser antwortet.',
  },
  closed: (why) => ({
    text: `Der Browser bewahrt für diese Seite nichts auf: ${CLOSED.de[why]}.`,
    advice:
      'Es geht trotzdem weiter; sichern Sie den Würfel als Datei, bevor Sie die Seite schließen, oder laden Sie sie neu.',
  }),
  retry: 'Noch einmal versuchen',
  elsewhere: {
    text: 'Dieser Würfel ist in einem anderen Tab offen.',
    advice: 'Dort weitermachen, oder jenen Tab schließen und ihn hier noch einmal öffnen.',
  },
  steps: {
    die: 'anderer Würfel',
    card: 'Karte',
    kind: 'Art des Würfels',
    finish: 'Oberfläche des Würfels',
    marks: 'Marken auf den Flächen',
    name: 'Name',
    photos: 'Fotos',
    numbers: 'Zahlen eines Fotos',
    'left-out': 'Foto weggelassen',
    log: 'Wurfprotokoll',
    bars: 'Prüfstrecken',
  },
  shelf: {
    heading: 'Auf diesem Gerät aufbewahrt',
    none: 'Noch ist kein Würfel aufbewahrt. Jede Eingabe wird sofort aufbewahrt.',
    open: 'Öffnen',
    openOf: (name) => `${name} öffnen`,
    here: 'in Arbeit',
    remove: 'Entfernen',
    removeOf: (name) => `${name} entfernen`,
    removed: (name) => `${name} wurde entfernt; bis morgen lässt er sich zurückholen.`,
    putBack: 'Zurückholen',
    save: 'Als Datei sichern',
    saveOf: (name) => `Als Datei sichern: ${name}`,
    saveAll: 'Alle in einer Datei sichern',
    bring: 'Datei hereinholen',
    about: (photos, time) => `${photos} Fotos, ${time}`,
    unnamed: (kind) => `${kind} ohne Namen`,
    brought: (dice) => (dice === 1 ? 'Ein Würfel wurde hereingeholt.' : `${dice} Würfel wurden hereingeholt.`),
    broken: ({ place, why }) => ({
      text: `Die Datei wurde nicht hereingeholt: ${place}: ${whyText(why, 'de')}.`,
      advice: 'Nichts aus ihr wurde übernommen. Sichern Sie sie dort noch einmal, woher sie kommt.',
    }),
    unreadable: (count) =>
      `${count} aufbewahrte Würfel kann diese Fassung der Seite nicht lesen; sie bleiben, wie sie sind.`,
    unreadableOthers: (count) =>
      `${count} aufbewahrte Karten, Lose oder andere Einträge kann diese Fassung der Seite nicht lesen; sie bleiben, wie sie sind.`,
    used: (used, most) => `${used} von ${most} belegt`,
    persistent: 'Der Browser hat zugesagt, es aufzubewahren, bis Sie es entfernen.',
    passing: 'Der Browser kann es löschen, wenn dem Gerät der Speicher ausgeht: Sichern Sie Wichtiges als Datei.',
    saving: 'Die Datei wird geschrieben',
    more: (count) => `${count} weitere zeigen`,
  },
};

export const KEEPING: Catalogue<typeof en> = { en, de };
