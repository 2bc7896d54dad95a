import type { JobCode, JobFault } from '../../formats/job.ts';
import { jobMessage } from '../../text/job-faults.ts';
import { language } from '../kit/language.svelte.ts';

type Words = (fault: Record<'shot' | 'field' | 'seen' | 'needed', string>) => string;

/** The German of `text/job-faults.ts`. */
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
  'job-doubt': () => '„checkBarU“ muss eine positive Zahl in mm sein',
  'job-numbering': () =>
    '„numbering“ muss zu jeder Zahl ihre Nachbarn nennen, von außen gesehen gegen den Uhrzeigersinn',
  'numbering-count': ({ seen, needed }) => `Nummerierung: ${seen} Zahlen gesehen, ${needed} nötig`,
  'numbering-twice': () => 'Nummerierung: eine Zahl steht auf zwei Flächen',
  'numbering-clash': ({ field, seen }) => `Nummerierung: ${field} und ${seen} wollen auf dieselbe Fläche`,
  'numbering-neighbours': ({ field, seen, needed }) =>
    `Nummerierung: ${field} hat ${seen} Nachbarn, ${needed} sind nötig`,
  'numbering-beside': ({ field, needed }) => `Nummerierung: ${field} nennt ${needed} nicht als Nachbarn`,
};

/** The words for what is wrong with a job file, in the language in use; one sentence without its full stop. */
export function jobFaultIn(fault: JobFault): string {
  if (language.current === 'en') return jobMessage(fault);
  const { code, shot, field, seen, needed } = fault;
  const text = (part: string | number | undefined): string =>
    String(part ?? 'nicht da').replace(/^(\d.*\d)-(\d)/, '$1 bis $2').replace(/^(\d+)\.(\d+) bis (\d+)\.(\d+)$/, '$1,$2 bis $3,$4'); // prettier-ignore
  return `job.json: ${GERMAN[code]({ shot: text(shot), field: text(field), seen: text(seen), needed: text(needed) })}`;
}
