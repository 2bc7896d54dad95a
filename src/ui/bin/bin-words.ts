import { reasonText } from '../../text/bin-reasons.ts';
import type { Reason, Verdict } from '../../bin/types.ts';
import { percent } from '../kit/format.ts';
import { language } from '../kit/language.svelte.ts';
import { reader, type Catalogue } from '../kit/catalogue.ts';

const en = {
  heading: 'Bin',
  about:
    'Several dice of one kind in each photo, apart from one another, any face up. Each is outlined, measured roughly and kept, rejected or set aside to look at again. One photo does not show a die’s upright axis or its underside; they are not judged.',
  kind: 'Kind of die',
  size: 'Nominal size',
  radius: 'Nominal corner radius',
  limits: { size: 'Size, plus or minus', radius: 'Corner radius, at most', departure: 'Out of round, at most' },
  bars: { x: 'Check bar along the long side', y: 'Check bar along the short side' },
  barsWhy: (range: string) =>
    `What a ruler says of the card’s two bars (designed: 100 mm; taken: ${range}). Without them a nominal size tells nothing finer than 3 %.`,
  wrong: 'A length in millimetres, or nothing.',
  usual: (v: string) => `in use: ${v} mm`,
  referenceFile: 'A measured die as reference',
  referenceFault: (why: string) => `That file is no reference: ${why}`,
  otherKind: (seen: string, needed: string) => `it is of a ${seen}, the bin holds ${needed}`,
  against: {
    typed: 'Held against nominal values.',
    die: 'Held against a measured die.',
    bin: 'Held against the median of this bin: a fault that most dice share does not show.',
  },
  noReference: 'Drop the reference',
  choose: 'Choose photos',
  clear: 'Empty the bin',
  camera: 'Live camera',
  cameraStop: 'Stop the camera',
  sounds: 'Sounds',
  exportCsv: 'Save list (CSV)',
  exportJson: 'Save result (JSON)',
  saveReference: 'Save limits as reference',
  passedOver: (n: number, most: number) => ({
    text: `${n === 1 ? '1 photo was' : `${n} photos were`} not taken: the page holds ${most} at once.`,
    advice: 'Save the list, empty the bin and give it the next ones, or sort the whole folder on the command line.',
  }),
  waiting: (n: number) => (n === 1 ? '1 photo is being judged.' : `${n} photos are being judged.`),
  stopped: 'Judging stopped. Choose the photos again.',
  empty: 'No photos yet. Put dice on the card’s stage, apart from one another, and photograph them from above.',
  tally: (keep: number, look: number, reject: number) => `${keep} keep · ${look} look again · ${reject} reject`,
  photos: 'Photos',
  noPicture:
    'Judged before this page was opened. The photo itself is not kept: choose it again to see it, or to judge it anew.',
  photo: (name: string, n: number) => `${name}: ${n} things outlined`,
  die: (n: number) => `Die ${n}`,
  overruled: 'your verdict',
  sure: (p: string) => `sure ${p}`,
  columns: ['Die', 'Verdict', 'Reason', 'Size, mm', 'Radius, mm', 'Out of round, mm'],
  verdict: { keep: 'keep', 'look-again': 'look again', reject: 'reject' },
  keys: 'Keys: 1 keep, 2 look again, 3 reject, arrows go from die to die, U undoes.',
  undo: 'Undo verdict',
  setVerdict: (v: string, n: number) => `Die ${n}: ${v}`,
  rejects: (n: number) => (n === 1 ? '1 reject in all photos' : `${n} rejects in all photos`),
  showReject: (n: number, photo: string) => `Show die ${n} of ${photo}`,
  settings: (kind: string) => `What the dice are held against: ${kind}, limits`,
  more: 'Save, undo, empty',
  each: 'Each die of this photo',
  learn: 'Learn the limits',
  learnAbout:
    'From dice that you sorted with the keys, limits are suggested that would sort as you did. Nothing changes until you take them.',
  learnFew: (keepers: number, rejects: number, needed: number) =>
    `${keepers} kept and ${rejects} rejected by you; ${needed} of each are needed.`,
  learnNone: 'does not tell your keepers from your rejects',
  learnErrors: (rk: number, r: number, kr: number, k: number) =>
    `Each die judged by limits from the others (leave-one-out): ${rk} of ${r} rejects kept, ${kr} of ${k} keepers rejected.`,
  learnTake: 'Use these limits',
  cameraFault: 'No camera can be used here.',
  cameraSees: (n: number) => `${n} dice seen`,
  cameraHands: 'Take your hands out of the picture.',
  cameraNone: 'Card not seen.',
  cameraSame: 'Judged. Put the next dice on the card.',
  cameraHold: 'Hold still …',
};

type Words = typeof en;

const de: Words = {
  heading: 'Kiste',
  about:
    'Mehrere Würfel einer Art in jedem Foto, voneinander getrennt, beliebig gedreht. Jeder wird umrandet, grob gemessen und behalten, aussortiert oder zum Nachsehen beiseitegelegt. Ein Foto zeigt weder die senkrechte Achse noch die Unterseite eines Würfels; sie werden nicht beurteilt.',
  kind: 'Würfelart',
  size: 'Nennmaß',
  radius: 'Nenn-Eckenradius',
  limits: { size: 'Maß, plus oder minus', radius: 'Eckenradius, höchstens', departure: 'Unrund, höchstens' },
  bars: { x: 'Prüfstrecke der langen Seite', y: 'Prüfstrecke der kurzen Seite' },
  barsWhy: (range) =>
    `Was ein Lineal zu den beiden Strecken der Karte sagt (Sollmaß 100 mm; angenommen wird ${range}). Ohne sie sagt ein Nennmaß nichts, was feiner ist als 3 %.`,
  wrong: 'Eine Länge in Millimetern, oder nichts.',
  usual: (v) => `in Gebrauch: ${v} mm`,
  referenceFile: 'Ein gemessener Würfel als Vorbild',
  referenceFault: (why) => `Diese Datei ist kein Vorbild: ${why}`,
  otherKind: (seen, needed) => `sie ist von einem ${seen}, in der Kiste liegen ${needed}`,
  against: {
    typed: 'Verglichen mit Nennwerten.',
    die: 'Verglichen mit einem gemessenen Würfel.',
    bin: 'Verglichen mit dem Median dieser Kiste: Ein Fehler, den die meisten Würfel haben, zeigt sich nicht.',
  },
  noReference: 'Vorbild weglassen',
  choose: 'Fotos wählen',
  clear: 'Kiste leeren',
  camera: 'Kamera',
  cameraStop: 'Kamera ausschalten',
  sounds: 'Töne',
  exportCsv: 'Liste sichern (CSV)',
  exportJson: 'Ergebnis sichern (JSON)',
  saveReference: 'Grenzen als Vorbild sichern',
  passedOver: (n, most) => ({
    text: `${n === 1 ? '1 Foto wurde' : `${n} Fotos wurden`} nicht genommen: Die Seite hält höchstens ${most} zugleich.`,
    advice:
      'Sichern Sie die Liste, leeren Sie die Kiste und geben Sie ihr die nächsten, oder sortieren Sie den ganzen Ordner auf der Kommandozeile.',
  }),
  waiting: (n) => (n === 1 ? '1 Foto wird beurteilt.' : `${n} Fotos werden beurteilt.`),
  stopped: 'Das Beurteilen brach ab. Wählen Sie die Fotos noch einmal.',
  empty:
    'Noch keine Fotos. Legen Sie Würfel getrennt voneinander auf die Bühne der Karte und fotografieren Sie sie von oben.',
  tally: (keep, look, reject) => `${keep} behalten · ${look} nachsehen · ${reject} aussortieren`,
  photos: 'Fotos',
  noPicture:
    'Beurteilt, bevor diese Seite geöffnet wurde. Das Foto selbst wird nicht aufbewahrt: Wählen Sie es noch einmal, um es zu sehen oder neu zu beurteilen.',
  photo: (name, n) => `${name}: ${n} Dinge umrandet`,
  die: (n) => `Würfel ${n}`,
  overruled: 'Ihr Urteil',
  sure: (p) => `sicher ${p}`,
  columns: ['Würfel', 'Urteil', 'Grund', 'Maß, mm', 'Radius, mm', 'Unrund, mm'],
  verdict: { keep: 'behalten', 'look-again': 'nachsehen', reject: 'aussortieren' },
  keys: 'Tasten: 1 behalten, 2 nachsehen, 3 aussortieren, Pfeile wechseln den Würfel, U macht rückgängig.',
  undo: 'Urteil rückgängig',
  setVerdict: (v, n) => `Würfel ${n}: ${v}`,
  rejects: (n) => (n === 1 ? '1 aussortierter in allen Fotos' : `${n} aussortierte in allen Fotos`),
  showReject: (n, photo) => `Würfel ${n} von ${photo} zeigen`,
  settings: (kind) => `Woran die Würfel gemessen werden: ${kind}, Grenzen`,
  more: 'Sichern, rückgängig, leeren',
  each: 'Jeder Würfel dieses Fotos',
  learn: 'Grenzen lernen',
  learnAbout:
    'Aus Würfeln, die Sie mit den Tasten sortiert haben, werden Grenzen vorgeschlagen, die wie Sie sortieren würden. Nichts ändert sich, bevor Sie sie übernehmen.',
  learnFew: (keepers, rejects, needed) =>
    `${keepers} von Ihnen behalten und ${rejects} aussortiert; je ${needed} werden gebraucht.`,
  learnNone: 'unterscheidet Ihre guten nicht von Ihren schlechten',
  learnErrors: (rk, r, kr, k) =>
    `Jeder Würfel nach Grenzen aus den übrigen beurteilt (Auslassen je eines): ${rk} von ${r} schlechten behalten, ${kr} von ${k} guten aussortiert.`,
  learnTake: 'Diese Grenzen verwenden',
  cameraFault: 'Hier lässt sich keine Kamera verwenden.',
  cameraSees: (n) => `${n} Würfel zu sehen`,
  cameraHands: 'Nehmen Sie die Hände aus dem Bild.',
  cameraNone: 'Karte nicht zu sehen.',
  cameraSame: 'Beurteilt. Legen Sie die nächsten Würfel auf die Karte.',
  cameraHold: 'Stillhalten …',
};

export const BIN_WORDS: Catalogue<Words> = { en, de };
export const binWords = reader(BIN_WORDS);

/** One reason in the language in use. */
export const reasonIn = (r: Reason): string => reasonText(r, language.current);

/** The mark that tells a verdict without colour. */
export const VERDICT_MARK: Readonly<Record<Verdict, string>> = { keep: '✓', 'look-again': '?', reject: '✕' };

/** How sure, in words; empty where a thing was not judged. */
export const sureIn = (sure: number | null): string =>
  sure === null ? '' : binWords.sure(sure > 0.995 ? `> ${percent(0.99)}` : percent(sure));
