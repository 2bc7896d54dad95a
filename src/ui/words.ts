import type { DieKind } from '../geometry/solid.ts';
import type { BudgetLine, PhotoStatus, Progress } from '../measure/types.ts';
import type { WorkerFailure } from './worker-client.ts';

/** All wording of the page, in one place; that of the remarks on photos stands in `measure/messages.ts`, for the command line too. */
export const words = {
  name: 'Evencast',
  purpose: 'How true a die is, measured from photos on a printed card. Nothing leaves this device.',

  shell: {
    rooms: 'Rooms',
    language: 'Language',
    skip: 'To the content',
    fetching: 'Fetching this room',
    roomFault: (detail: string) => ({
      text: `This room did not arrive (${detail}).`,
      advice: 'See that there is a network connection, and load the page again. What you entered is kept.',
    }),
  },

  start: {
    heading: 'Measure a die',
    sample: 'See it work',
    sampleAbout: 'Photos of a die come with the page. They are measured here, in your browser.',
    sampleButton: (kind: DieKind, photos: number) => `Measure the sample ${kind} (${photos} photos)`,
    sampleFault: (detail: string) =>
      `The sample's photos did not arrive (${detail}). A network connection is needed for the first visit; your own photos can be measured without.`,
    own: 'Your own die',
    ownSteps: [
      'Print the card below, at 100 %, and lay it flat in even, diffuse light.',
      'Put the die in the middle of the stage. Take a photo from above, leaning a little; turn the die to another number; take the next one. The whole card is in each photo.',
      'Drop the photos anywhere on this page, in any order, or choose them.',
    ],
    choose: 'Choose photos',
    formats: 'JPEG or PNG, as the camera wrote them. A job.json among them is read.',
  },

  sheet: {
    die: 'Die',
    photos: 'Photos',
    photosCount: (used: number, all: number) => (used === all ? `${all}` : `${used} of ${all}`),
    card: 'Card',
    checked: 'checked',
    unchecked: 'not checked',
    state: 'State',
    none: 'none',
    startAgain: 'New die',
    undo: 'Back to the die before',
  },

  die: {
    heading: 'Die',
    kind: 'Kind of die',
    kinds: {
      d4: 'd4, 4 faces',
      d6: 'd6, 6 faces',
      d8: 'd8, 8 faces',
      d10: 'd10, 10 faces',
      d12: 'd12, 12 faces',
      d20: 'd20, 20 faces',
    } satisfies Record<DieKind, string>,
    axis: 'An axis runs from a face through the die to the face opposite, and is named by both numbers.',
    axisOfD4:
      'A d4 has no opposite faces: an axis runs from a face to the corner opposite. A photo is named by the face the die stands on.',
  },

  photos: {
    heading: 'Photos',
    about: 'For each photo: the number on top, and the number on the face towards the lower edge of the card.',
    aboutD4: 'For each photo: the number of the face it stands on, and of the face towards the lower edge of the card.',
    add: 'Add photos',
    up: 'Up',
    upOfD4: 'Stands on',
    front: 'Front',
    of: (field: string, photo: string) => `${field}, ${photo}`,
    leaveOut: 'Leave out',
    putBack: 'Put back',
    leaveOutOf: (photo: string) => `Leave out ${photo}`,
    putBackOf: (photo: string) => `Put back ${photo}`,
    waiting: 'Waiting',
    judging: 'Being looked at',
    byYou: 'Left out by you',
    status: {
      used: 'Fit to use',
      'used-with-remark': 'Usable, with a remark',
      'left-out': 'Not usable',
    } satisfies Record<PhotoStatus, string>,
    jobFault: (message: string) => `The job file was not used. ${message}.`,
    unnamed: (count: number) => `${count} photos of the job file are not here.`,
  },

  scale: {
    heading: 'Card scale',
    about:
      'Lengths of the two check bars printed on the card, from tick to tick. Printers stretch paper by some tenths of a per cent.',
    bar: (which: 'X' | 'Y') => `Bar ${which} (nominal 100 mm)`,
    unit: 'mm',
    wrong: (low: number, high: number) => `A length of ${low} to ${high} mm is needed.`,
    without: 'Without them every length carries a wide common doubt; differences between the axes stay sharp.',
    one: 'One bar alone is taken for both directions. Measure both: printers stretch them differently.',
    both: 'Both bars are known: the doubt of the lengths is that of your ruler.',
  },

  work: {
    measure: 'Measure',
    again: 'Measure again',
    noPhotos: 'Photos are needed first.',
    cancel: 'Cancel',
    judging: 'Looking at the photos',
    measuring: 'Measuring',
    stage: {
      start: 'Starting image processing',
      decode: 'Reading a photo',
      card: 'Finding the card',
      calibrate: 'Working out the camera',
      coarse: 'Finding the die',
      edges: 'Tracing the outline',
      fit: 'Fitting the shape',
    } satisfies Record<Progress['stage'] | 'start', string>,
    left: (seconds: string) => `about ${seconds} left`,
    idle: 'Ready',
    measured: 'Measured',
    failed: 'Not measured',
    changed: 'Changed since the result below. Measure again to bring it up to date.',
  },

  result: {
    heading: 'Result',
    none: 'Nothing has been measured yet.',
    toPhotos: 'To the photos',
    toStart: 'To the sample',
    failed: 'This set could not be measured',
    photosKept: 'The photos stay as they are: mend or leave out those that are marked, then measure again.',
    meanAxis: 'Mean axis',
    range: 'Range of axes',
    rangeAbout: 'longest minus shortest',
    radius: 'Mean corner radius',
    plusMinus: '± is the expanded uncertainty U95: about 95 in 100 such intervals contain the true value.',
    differ: (longest: string, shortest: string) =>
      `The axes differ by more than chance explains. ${longest} is the longest, ${shortest} the shortest.`,
    agree: 'No difference between the axes is shown: chance alone explains how far they are apart.',
    save: 'Save as JSON',
    print: 'Print',
    remarks: 'Remarks',
  },

  axes: {
    heading: 'Axes',
    caption: 'Lengths with their U95, and how far each is from the mean of all axes',
    axis: 'Axis',
    length: 'Length',
    u95: '±\u00a0U95',
    fromMean: 'From mean',
    chartTitle: 'How far each axis is from the mean axis',
    chartAbout: (parts: string) => `Deviation from the mean axis with U95, in micrometres: ${parts}.`,
    shorter: 'shorter',
    longer: 'longer',
    together: 'all together',
  },

  doubt: {
    heading: 'Doubt',
    common: (u95: string, source: string) =>
      `Common part, ${u95}: moves all axes alike, longer or shorter together. Largest source: ${source}.`,
    difference: (u95: string, source: string) =>
      `Difference part, ${u95} on a typical axis: what one axis may be off against the others. It decides whether the die is out of round. Largest source: ${source}.`,
    scaleHelp: 'Entering the measured check bars makes the common part smaller.',
    caption: 'Where the doubt comes from: U95 that each source alone would give',
    source: 'Source',
    meanAxis: 'Mean axis',
    differenceOfAxes: 'Difference of two axes',
    meanRadius: 'Mean corner radius',
    sources: {
      noise: 'picture noise',
      outline: 'uneven outline',
      camera: 'camera and its place',
      scale: 'card scale',
      edge: 'position of edges',
      sheen: 'sheen of the rim',
      sharpening: 'sharpening by the camera',
      apex: 'height of the apex',
    } satisfies Record<BudgetLine['source'], string>,
  },

  outlines: {
    heading: 'Photos and outlines',
    about:
      'The dashed line is the fitted outline. The solid one shows how far the measured edge departs from it, outwards or inwards: averaged over neighbouring points, enlarged, and broken off where the edge is too faint.',
    choose: (photo: string) => `Show ${photo}`,
    enlarge: 'Enlarge departures',
    times: (n: number) => `× ${n}`,
    model: 'fitted outline',
    measured: 'measured edge, enlarged',
    zoomIn: 'Zoom in',
    zoomOut: 'Zoom out',
    die: 'Whole die',
    photo: 'Whole photo',
    scale: (px: string, length: string) => `${px} = ${length}`,
    left: 'Move left',
    right: 'Move right',
    up: 'Move up',
    down: 'Move down',
    alt: (photo: string, rms: string) =>
      `${photo} with the fitted outline; the measured edge departs from it by ${rms} rms`,
    facts: {
      lean: 'Lean of the camera',
      scale: 'Scale at the die',
      rms: 'Departure, rms',
      points: 'Edge points',
      card: 'Card points',
      blur: 'Blur',
    },
    perPx: 'µm/px',
  },

  details: {
    heading: 'Corners, edges, faces',
    corners: (count: number) => `Corner radii (${count})`,
    edges: (count: number) => `Edge radii (${count})`,
    faces: (count: number) => `Faces (${count})`,
    corner: 'Corner',
    edge: 'Edge',
    face: 'Face',
    radius: 'Radius',
    distance: 'From centre',
    land: 'Land',
    landAbout:
      'A land is the flat part of a face inside the rounding; what the die comes to rest on. Crown of a face: not seen in an outline.',
  },

  card: {
    heading: 'Print the card',
    paper: 'Paper',
    papers: { a4: 'A4 (210 × 297 mm)', letter: 'US Letter (8.5 × 11 in)' },
    stage: 'Stage colour',
    stages: { white: 'white', grey: 'grey', black: 'black', blue: 'blue', green: 'green' },
    stageAbout: 'The stage should have the colour that the die is not.',
    suits: (dice: string) => `Suits dice that are: ${dice}.`,
    make: 'Make the card (PDF)',
    making: 'Making the card',
    fault: (detail: string) => `The card could not be made (${detail}). Load the page again and try once more.`,
  },

  drop: 'Drop the photos here',

  cautions: [
    'Not for gaming for money: a result of this page is no certificate. There the law, the regulator and accredited laboratories decide.',
    'Keep small dice from small children: they can choke on them.',
    'Use diffuse light, and let no lamp shine into your eyes.',
  ],

  stopped: (why: WorkerFailure): { readonly text: string; readonly advice: string } => {
    switch (why.code) {
      case 'cancelled':
        return { text: 'Cancelled.', advice: '' };
      case 'worker-outdated':
        return {
          text: `This page is newer than a part of it that the browser kept (${String(why.seen)} seen, ${why.needed} needed).`,
          advice: 'Load the page again.',
        };
      case 'worker-stopped':
        return {
          text: `Image processing stopped: ${why.detail}.`,
          advice:
            'Your entries and photos are still here. Close other tabs if memory is short, and measure again; smaller or fewer photos need less.',
        };
    }
  },
} as const;
