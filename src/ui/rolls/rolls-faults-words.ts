import type { Beyond } from '../../bias/kernel/kernel.ts';
import { germanFault } from '../../bias/messages-de.ts';
import type { BiasFault } from '../../bias/messages.ts';
import { BEYOND_TEXT, faultText } from '../../bias/messages.ts';
import { language } from '../kit/language.svelte.ts';
import { reader } from '../kit/catalogue.ts';

const beyondDe: Readonly<Record<Beyond, string>> = {
  apex: 'seine Spitze ist höher oder niedriger als bei den Würfeln, an die sie angepasst ist',
  faces: 'seine Flächen weichen weiter ab als bei den Würfeln, an die sie angepasst ist',
  radius: 'seine Ecken sind schärfer, runder oder ungleicher als bei den Würfeln, an die sie angepasst ist',
  mass: 'sein Schwerpunkt liegt weiter ab als bei den Würfeln, an die sie angepasst ist',
  mark: 'sein Angussrest ist höher als die, die dafür geworfen wurden',
  crown: 'eine Wölbung ist höher als die, die dafür geworfen wurden',
  trim: 'seine beschnittene Kante ist tiefer als die, die dafür geworfen wurden',
  unevenness: 'eine Zahl käme um ein Viertel häufiger oder seltener als gleich verteilt',
};

/** A fault of shape, log or stack in the language in use; English as the command line has it. */
export const faultWords = (fault: BiasFault): string =>
  language.current === 'de' ? germanFault(fault) : faultText(fault);

const beyondWords = reader({ en: BEYOND_TEXT, de: beyondDe });

/** What lies beyond the at-once chances, in one clause. */
export const beyondText = (list: readonly Beyond[]): string => list.map((b) => beyondWords[b]).join('; ');
