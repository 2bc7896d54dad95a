import type { Note, NoteCode } from '../formats/notes.ts';
import { notePart, type Message } from './note-parts.ts';

type Words = (note: Note) => Message;
const say =
  (text: string, advice: string): Words =>
  () => ({ text, advice });
const seen = (n: Note): string => notePart(n, 'seen', 'en', '0');
const needed = (n: Note): string => notePart(n, 'needed', 'en', '0');

/** Numbers as notes give them, "20/8" or "20" alone, in words. */
const shownNumbers = (numbers: string): string => numbers.replace(/^([^/,]+)\/([^/,]+)$/, '$1 up and $2 in front');

export const ENGLISH: { readonly [K in NoteCode]: Words } = {
  'not-an-image': say('The file is no picture this program can read.', 'Give it a JPEG or PNG as the camera wrote it.'),
  truncated: say('The picture file ends too early.', 'Copy it again from the camera or telephone.'),
  'too-large': (n) => ({
    text: `The picture measures ${seen(n)}; at most ${needed(n)} can be read.`,
    advice: 'Reduce it, or photograph at a lower resolution.',
  }),
  'too-small': (n) => ({
    text: `The picture measures ${seen(n)}; at least ${needed(n)} is needed.`,
    advice: 'Give the photo as the camera wrote it, not a preview.',
  }),
  heic: say(
    'The photo is in HEIC format, which browsers do not read.',
    'Set the telephone to "most compatible" (JPEG), or export the photo as JPEG.',
  ),
  'format-unread': (n) => ({
    text: `The photo is in ${seen(n)} format, which cannot be decoded here.`,
    advice: 'Open it in the program that shows it, and export or save it as JPEG at full size and best quality.',
  }),
  beside: (n) => ({
    text: `Something lies on the stage beside the die (${seen(n)}).`,
    advice: 'Wipe the stage clean of dust, hairs and marks for the best result.',
  }),
  compressed: (n) => ({
    text: `The photo was strongly compressed (JPEG quality about ${seen(n)}; ${needed(n)} or more measures well): edges may lie further off than the doubt says.`,
    advice:
      'Give the file as the camera wrote it: messengers and mail programs shrink photos; send it as a file or document.',
  }),
  'colour-alone': (n) => ({
    text: `Die and stage differ in colour alone, and a JPEG keeps colour coarsely (quality about ${seen(n)}; ${needed(n)} or more is needed for that).`,
    advice: 'Print a stage that is clearly lighter or darker than the die.',
  }),
  portrait: (n) => ({
    text: `Beside the die the picture has only ${seen(n)} % of the grain that it has on it: a portrait mode or a filter has drawn an outline of its own.`,
    advice: 'Switch off portrait mode and background blur, and take the photo anew.',
  }),
  'background-blur': (n) => ({
    text: `The card's printed edges are blurred over ${seen(n)} px, the die's over ${needed(n)} px, though both lie as far away: a portrait mode has blurred what it took for the background, and drawn an outline of its own.`,
    advice: 'Switch off portrait mode and background blur, and take the photo anew.',
  }),
  smoothed: (n) => ({
    text: `The picture's grain is smoothed over ${seen(n)} px, more than its edges (${needed(n)} px): a noise filter has drawn the edges anew. The doubt is wider for it.`,
    advice: 'Switch off noise reduction and filters, use more light, and give the file as the camera wrote it.',
  }),
  sharpened: (n) => ({
    text: `Beside the card's black squares the white overshoots by ${seen(n)} % (up to ${needed(n)} % measures well): the picture was strongly sharpened. The doubt is wider for it.`,
    advice: 'Switch off sharpening and filters, and give the file as the camera wrote it.',
  }),
  'contrast-raised': (n) => ({
    text: `The print's black and white are clipped (${seen(n)} of 255) though the stage is not (${needed(n)}): contrast was raised from place to place. The doubt is wider for it.`,
    advice: 'Switch off HDR, clarity and filters, and give the file as the camera wrote it.',
  }),
  noisy: (n) => ({
    text: `The picture is grainy: the stage scatters by ${seen(n)} of 255 (up to ${needed(n)} measures well).`,
    advice: 'Use more light, or a lower ISO number.',
  }),
  pattern: (n) => ({
    text: `The die's skin is of several colours: light beside its edges changes ${seen(n)} times as fast as is believed of plain skin; the doubt is wider for it.`,
    advice: 'A stage that differs from all of its colours, and more photos, narrow it.',
  }),
  metal: (n) => ({
    text: `This looks like metal, or another surface that mirrors: its upright faces are ${seen(n)} % lighter than the one on top, and do not brighten towards grazing. The doubt is wider for it.`,
    advice:
      'A mirror shows the room at its rim. Dull it with a chalk or developer spray that wipes off, then photograph it again.',
  }),
  'no-file': (n) => ({
    text: `The file ${seen(n)} is not there, or is empty.`,
    advice: 'Copy the photo again; see that the job names it.',
  }),
  unreadable: say('The picture could not be decoded.', 'Open it in another program and save it again as JPEG.'),
  'no-card': (n) => ({
    text: `Card: ${seen(n)} markers seen, ${needed(n)} needed.`,
    advice: 'Have the whole card in the picture, flat, sharp and evenly lit.',
  }),
  'few-markers': (n) => ({
    text: `Card: ${seen(n)} markers seen, ${needed(n)} needed.`,
    advice: 'Uncover the card, move back a little, and see that it is sharp.',
  }),
  'other-card': (n) => ({
    text: `A card with other markers is in the picture (${seen(n)} unknown markers).`,
    advice: 'Print the card of this program.',
  }),
  mirrored: (n) => ({
    text: `The photo is mirrored: ${seen(n)} markers read only when turned over.`,
    advice: 'Switch off "mirror selfies", or use the back camera.',
  }),
  'card-points': (n) => ({
    text: `Card: ${seen(n)} corner points found sharp enough, ${needed(n)} needed.`,
    advice: 'Uncover more of the card and focus on the die.',
  }),
  'no-die': say(
    'Nothing stands on the stage.',
    'Put the die in the middle of the blank stage; if it is there, choose a stage of another colour.',
  ),
  'crowded-stage': (n) => ({
    text: `${seen(n)} separate things or specks lie on the stage; at most ${needed(n)} are looked at.`,
    advice: 'Wipe the stage, or print the card anew on plain paper.',
  }),
  'several-dice': (n) => ({
    text: `${seen(n)} things stand on the stage, 1 is wanted.`,
    advice: 'Leave one die on the stage, or use the bin for many.',
  }),
  'die-cut': say("The die reaches to the picture's edge.", 'Have the whole card in the picture.'),
  'die-over-ring': say('The die reaches to the edge of the stage.', 'Move it to the middle of the stage.'),
  blur: (n) => ({
    text: `The die's edges are blurred over ${seen(n)} px; up to ${needed(n)} px measures well.`,
    advice: 'Focus on the top of the die, rest the camera, use more light.',
  }),
  burnt: (n) => ({
    text: `The stage is overexposed (${seen(n)} of 255).`,
    advice: 'Lower the exposure a little, or light less.',
  }),
  'low-contrast': (n) => ({
    text: `Die and stage differ by ${seen(n)} of 255 steps only; ${needed(n)} are needed.`,
    advice: 'Print a stage of a colour that the die is not.',
  }),
  misfit: (n) => ({
    text: `The outline departs from this kind of die: ${seen(n)}; up to ${needed(n)} is usual.`,
    advice: 'See that the die stands flat on a face, alone, and that its kind and numbers are right.',
  }),
  disagrees: (n) => ({
    text: `The outline departs ${seen(n)} times as far from the fitted die as the other photos' do; up to ${needed(n)} is usual.`,
    advice: 'Check the numbers, and that it is the same die, standing flat on a face.',
  }),
  'up-doubtful': (n) => ({
    text: `The outline agrees better with ${seen(n)} than with ${needed(n)}.`,
    advice: 'Check which numbers were up and in front in this photo, and that the die stood flat on a face.',
  }),
  'other-camera': (n) => ({
    text: `The photo seems to be of another camera, lens or zoom than the set's others: ${seen(n)} seen, ${needed(n)} needed.`,
    advice:
      "Take all photos with one camera at one zoom, and give them as it wrote them, neither cut nor resized. See that the check bars' lengths are this card's.",
  }),
  'edge-on': (n) => ({
    text: `A side face stands ${seen(n)} degrees from edge-on; ${needed(n)} or more measure better.`,
    advice: 'Turn the die a little, or lean the camera more or less.',
  }),
  'unknown-number': (n) => ({
    text: `${seen(n)} is no number of this die.`,
    advice: 'Choose the number from the list.',
  }),
  duplicate: (n) => ({ text: `The same photo was given twice (${seen(n)}).`, advice: 'Leave one of them out.' }),
  'scale-unchecked': (n) => ({
    text: `The card's scale was never checked: all lengths share a doubt of ${seen(n)} %, since a print "fit to page" is 2 to 4 % small.`,
    advice:
      'Measure a check bar with a ruler and enter its length. Differences between axes share it in proportion only.',
  }),
  'card-scatter': (n) => ({
    text: `The card's printed points lie ${seen(n)} px off where a flat or evenly bowed card has them; up to ${needed(n)} px is usual. The doubt was widened by it.`,
    advice:
      'Tape the card down flat, and give photos as the camera wrote them: no corrections of perspective or lens, no strong compression.',
  }),
  'outline-scatter': (n) => ({
    text: `The outlines depart from any die of this kind by ${seen(n)} px along their edges, or by more than their noise; up to ${needed(n)} px is usual. The doubt was widened by it.`,
    advice:
      'Check the kind, the numbers up and in front, and that the die lies flat and clean; take photos in soft light as the camera writes them.',
  }),
  'card-misfit': (n) => ({
    text: `The card's printed points lie ${seen(n)} px off where a flat or evenly bowed card has them; beyond ${needed(n)} px no lengths are stated.`,
    advice:
      'Tape the card down flat, and give photos as the camera wrote them: no corrections of perspective or lens, no strong compression.',
  }),
  'outline-misfit': (n) => ({
    text: `The outlines depart from any die of this kind by ${seen(n)} px along their edges, or by far more than their noise; beyond ${needed(n)} px no lengths are stated.`,
    advice:
      'Check the kind, the numbers up and in front, and that the die lies flat and clean; take photos in soft light as the camera writes them, and more of them.',
  }),
  'turned-pixels': (n) => ({
    text: `The photo's pixels had been turned by ${seen(n)} degrees without a word in its data; it was measured turned back.`,
    advice: 'Give the photos as the camera wrote them: what turns them may have changed more.',
  }),
  'moved-camera': (n) => ({
    text: `The photo is sheared by up to ${seen(n)} %, as a camera that moves while it reads its rows does (up to ${needed(n)} % is of no account). The shear was measured on the card and the doubt widened.`,
    advice: 'Rest the camera on something, use more light, and switch off corrections of perspective.',
  }),
  'bars-differ': (n) => ({
    text: `The check bars as entered are in the ratio of a print stretched by ${seen(n)} % along X; the card itself shows ${needed(n)} %. The scale's doubt was widened to cover both.`,
    advice: 'Measure both bars once more, each from the middle of one tick to the middle of the other.',
  }),
  'one-photo': (n) => ({
    text: `${seen(n)} photo was used.`,
    advice: 'More photos with other numbers up show every axis, and narrow the doubt.',
  }),
  rank: say('The photos do not determine the shape.', 'Add photos with other numbers up.'),
  'crown-unlikely': (n) => ({
    text: `Faces seen edge-on look crowned by ${seen(n)} mm; with corners and a finish like this die's no more than ${needed(n)} mm is believed. The lengths over the faces were given the doubt of both.`,
    advice:
      'Wipe the stage, take the photos in even light, or lay a straight edge on a face; name the finish if it is tumbled.',
  }),
  'face-unseen': (n) => ({
    text: `No photo shows the outline of: ${seen(n)}.`,
    advice: 'Add a photo that stands on the face opposite to it or leans towards it.',
  }),
  'camera-rank': say(
    'The photos do not determine the camera.',
    'Lean the camera differently from photo to photo, and have the whole card in the picture.',
  ),
  'too-long': (n) => ({
    text: `The work was stopped after ${seen(n)} s; at most ${needed(n)} s are spent on a set of so many photos.`,
    advice:
      'Take fewer photos at a time, or close other programs. If it stays so, leave out photos that are cut or damaged.',
  }),
  'no-photo': (n) => ({
    text: `${seen(n)} photos can be used, ${needed(n)} is needed at least.`,
    advice: 'See what each photo lacks.',
  }),
  'sheen-unknown': say(
    "The die's sheen could not be told from its faces; that of polished plastic was taken.",
    'Photos that show faces at several slants tell it.',
  ),
  'numbers-unknown': (n) => ({
    text:
      n.needed === undefined
        ? `Which number is up could not be read; seen on the faces: ${seen(n)}.`
        : `The numbers of ${seen(n)} of ${needed(n)} photos could be read.`,
    advice: 'Say which number is up and which looks to the lower edge, or photograph it sharper and nearer.',
  }),
  'front-unknown': (n) => ({
    text: `${seen(n)} is up, but no face tells which number looks to the lower edge; lengths are stated with the doubt which it is.`,
    advice: 'Say which number looks to the lower edge, or lean the camera a little so that a side face shows.',
  }),
  'numbers-contradicted': (n) => ({
    text: `The faces show ${shownNumbers(seen(n))}; ${shownNumbers(needed(n))} was given.`,
    advice: 'Look at the photo and correct the numbers.',
  }),
  'numbers-doubted': (n) => ({
    text: `In ${seen(n)} of ${needed(n)} photos the faces contradict the numbers given.`,
    advice: 'Look at these photos and correct the numbers; until then lengths may stand under wrong names.',
  }),
  'other-kind': (n) => ({
    text: `This looks like a ${seen(n)}; a ${needed(n)} was given.`,
    advice: 'Choose the right kind of die.',
  }),
  'kind-unknown': (n) => ({
    text: `The outlines do not tell which kind of die this is (most like: ${seen(n)}).`,
    advice: 'Choose the kind; see that the die stands flat on a face, alone and in focus.',
  }),
  'wrong-kind': (n) => ({
    text: `The outlines do not agree with a ${needed(n)}: ${seen(n)}.`,
    advice: 'Choose the right kind of die; see that it stands flat on a face, alone and in focus.',
  }),
  'one-view': say(
    'One photo shows a die from one side: its upright axis and its underside are not judged.',
    'Turn the dice over and photograph them again where that matters.',
  ),
  'bin-median': say(
    'Held against the median of this bin: a fault that most dice share does not show.',
    'Enter a nominal size, or give a measured die as reference.',
  ),
};
