import { plain } from '../formats/read.ts';
import type { JobCode, JobFault } from '../formats/job.ts';
import type { Language } from './language.ts';

type Words = (fault: Record<'shot' | 'field' | 'seen' | 'needed', string>) => string;

const ENGLISH: { readonly [K in JobCode]: Words } = {
  'job-object': () => 'an object is needed',
  'job-json': ({ seen }) => `${seen} is no JSON`,
  'job-deep': ({ needed }) => `lists and objects lie in one another more than ${needed} deep`,
  'job-die': ({ seen, needed }) => `"die" is ${seen}; one of ${needed} is needed`,
  'job-no-shots': () => '"shots" must list at least one photo',
  'job-shots': ({ seen, needed }) => `${seen} shots seen, at most ${needed} are taken`,
  'job-photo': ({ shot }) => `shot ${shot} names no photo`,
  'job-number': ({ shot, field, seen, needed }) => `shot ${shot}: "${field}" is ${seen}, no number of a ${needed}`,
  'job-front': ({ shot, seen, needed }) => `shot ${shot}: ${seen} cannot look to the front while ${needed} is up`,
  'job-bar': ({ needed }) => `a check bar must be a length of ${needed} mm (nominal 100)`,
  'job-apex': ({ needed }) => `"apex" is for a d10, its apex height over its belt radius, ${needed}`,
  'job-doubt': () => '"checkBarU" must be a positive number of mm',
  'job-finish': ({ seen, needed }) => `"finish" is ${seen}; one of ${needed} is needed`,
  'job-hand-test': ({ seen, needed }) => `"handTest" is ${seen}; one of ${needed} is needed`,
  'job-numbering': () => '"numbering" must give the neighbours of each number, counter-clockwise from outside',
  'numbering-count': ({ seen, needed }) => `numbering: ${seen} numbers seen, ${needed} needed`,
  'numbering-twice': () => 'numbering: a number stands on two faces',
  'numbering-clash': ({ field, seen }) => `numbering: ${field} and ${seen} want the same face`,
  'numbering-neighbours': ({ field, seen, needed }) => `numbering: ${field} has ${seen} neighbours, ${needed} needed`,
  'numbering-beside': ({ field, needed }) => `numbering: ${field} does not name ${needed} beside it`,
};

const GERMAN: { readonly [K in JobCode]: Words } = {
  'job-object': () => 'ein Objekt ist nötig',
  'job-json': ({ seen }) => `${seen} ist kein JSON`,
  'job-deep': ({ needed }) => `Listen und Objekte liegen mehr als ${needed} tief ineinander`,
  'job-die': ({ seen, needed }) => `„die“ ist ${seen}; eines von ${needed} ist nötig`,
  'job-no-shots': () => '„shots“ muss mindestens ein Foto nennen',
  'job-shots': ({ seen, needed }) => `${seen} Aufnahmen gesehen, höchstens ${needed} werden angenommen`,
  'job-photo': ({ shot }) => `Aufnahme ${shot} nennt kein Foto`,
  'job-number': ({ shot, field, seen, needed }) =>
    `Aufnahme ${shot}: „${field}“ ist ${seen}, keine Zahl eines ${needed}`,
  'job-front': ({ shot, seen, needed }) =>
    `Aufnahme ${shot}: ${seen} kann nicht nach vorn zeigen, während ${needed} oben liegt`,
  'job-bar': ({ needed }) => `eine Prüfstrecke muss eine Länge von ${needed} mm haben (Nennmaß 100)`,
  'job-apex': ({ needed }) => `„apex“ gilt für einen d10, Höhe der Spitze durch Radius des Gürtels, ${needed}`,
  'job-doubt': () => '„checkBarU“ muss eine Zahl über 0 in mm sein',
  'job-finish': ({ seen, needed }) => `„finish“ ist ${seen}; nötig ist eines von ${needed}`,
  'job-hand-test': ({ seen, needed }) => `„handTest“ ist ${seen}; nötig ist eines von ${needed}`,
  'job-numbering': () =>
    '„numbering“ muss zu jeder Zahl ihre Nachbarn nennen, von außen gesehen gegen den Uhrzeigersinn',
  'numbering-count': ({ seen, needed }) => `Nummerierung: ${seen} Zahlen gesehen, ${needed} nötig`,
  'numbering-twice': () => 'Nummerierung: eine Zahl steht auf zwei Flächen',
  'numbering-clash': ({ field, seen }) => `Nummerierung: ${field} und ${seen} wollen auf dieselbe Fläche`,
  'numbering-neighbours': ({ field, seen, needed }) =>
    `Nummerierung: ${field} hat ${seen} Nachbarn, ${needed} sind nötig`,
  'numbering-beside': ({ field, needed }) => `Nummerierung: ${field} nennt ${needed} nicht als Nachbarn`,
};

const WORDS = { en: ENGLISH, de: GERMAN };
const MISSING = { en: 'missing', de: 'nicht da' } as const;

/** What was seen or needed; a range "80-125" in the words of the language. */
function partIn(part: string | number | undefined, language: Language): string {
  const text = plain(String(part ?? MISSING[language]));
  if (language === 'en') return text.replace(/^(\d.*\d)-(\d)/, '$1 to $2');
  return text.replace(/^(\d.*\d)-(\d)/, '$1 bis $2').replace(/^(\d+)\.(\d+) bis (\d+)\.(\d+)$/, '$1,$2 bis $3,$4');
}

/** A fault of a job file: one sentence without its full stop. */
export function jobMessage({ code, shot, field, seen, needed }: JobFault, language: Language = 'en'): string {
  const text = (part: string | number | undefined): string => partIn(part, language);
  const parts = { shot: text(shot), field: text(field), seen: text(seen), needed: text(needed) };
  return `job.json: ${WORDS[language][code](parts)}`;
}
