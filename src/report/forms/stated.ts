import { READERS, type Reader } from '../content/blocks.ts';
import { languageNamed, type Language } from '../../text/language.ts';
import { PAPERS, type Paper } from './card-pdf.ts';

/** What a page says of itself, so that it can be written again. */
export interface Stated {
  /** Null where it does not say so, or says what is not known. */
  readonly reader: Reader | null;
  readonly paper: Paper | null;
  readonly language: Language | null;
}

/** "evencast-report/1 for lab, a4, in de": paper only of a PDF, and a report that names no language is English. */
export const statedForm = (reader: Reader, paper: Paper | null, language: Language): string =>
  `evencast-report/1 for ${reader}${paper === null ? '' : `, ${paper}`}${language === 'en' ? '' : `, in ${language}`}`;

/** Reads {@link statedForm} from the text of a file. */
export function formStated(text: string): Stated {
  const found = /evencast-report\/1 for ([a-z]+)(?:, (?!in )([a-z0-9]+))?(?:, in ([a-z]{2,3}))?/.exec(text);
  return {
    reader: READERS.find((r) => r === found?.[1]) ?? null,
    paper: (Object.keys(PAPERS) as Paper[]).find((p) => p === found?.[2]) ?? null,
    language: languageNamed(found?.[3] ?? 'en') ?? null,
  };
}
