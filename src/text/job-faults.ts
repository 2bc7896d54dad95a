import type { JobCode, JobFault } from '../formats/job.ts';

type Words = (fault: Record<'shot' | 'field' | 'seen' | 'needed', string>) => string;

/** The words of each code, in English; they live here alone. */
const WORDS: { readonly [K in JobCode]: Words } = {
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
  'job-numbering': () => '"numbering" must give the neighbours of each number, counter-clockwise from outside',
  'numbering-count': ({ seen, needed }) => `numbering: ${seen} numbers seen, ${needed} needed`,
  'numbering-twice': () => 'numbering: a number stands on two faces',
  'numbering-clash': ({ field, seen }) => `numbering: ${field} and ${seen} want the same face`,
  'numbering-neighbours': ({ field, seen, needed }) => `numbering: ${field} has ${seen} neighbours, ${needed} needed`,
  'numbering-beside': ({ field, needed }) => `numbering: ${field} does not name ${needed} beside it`,
};

/** A fault of a job file, in English: one sentence without its full stop. */
export function jobMessage({ code, shot, field, seen, needed }: JobFault): string {
  const text = (part: string | number | undefined): string =>
    String(part ?? 'missing').replace(/^(\d.*\d)-(\d)/, '$1 to $2');
  return `job.json: ${WORDS[code]({ shot: text(shot), field: text(field), seen: text(seen), needed: text(needed) })}`;
}
