import type { Catalogue } from '../../../text/language.ts';

const en = {
  meanAxis: (length: string, d4: boolean) =>
    `The mean axis (the distance between two opposite faces${d4 ? '; on a d4 from a face to the corner opposite' : ''}) is ${length}.`,
  differ: (longest: string, shortest: string, difference: string) =>
    `${longest} is the longest axis, ${shortest} the shortest; they differ by ${difference}. The die is out of round.`,
  alike: (difference: string) => `The axes differ by ${difference} at most; no difference between them is shown.`,
  rounding: (radius: string) => `Corners and edges are rounded with a radius of ${radius} on average.`,
  range: (above: string, most: string, share: string) =>
    `The range of the axes is judged by joint draws of all of them, since of several that nearly tie any may be the outer one. The draws lie ${above} \u00b5m above the range found in the mean, and below ${most} mm with ${share} %: doubt alone pulls the outermost apart, and nothing is taken off for it.`,
  chart: (range: boolean, size: boolean) =>
    `Axes: deviation from their mean (dot) with U95 (bar).${range ? ' Below, the range that was found and the most that is allowed.' : ''}${size ? ' Below: the mean axis and its limits (hatched).' : ''}`,
  deviations: (list: string) => `Deviation of each axis from the mean: ${list}.`,
  axes: 'Axes, mm; deviation from the mean, \u00b5m',
  headAll: [
    'Axis',
    '#Length',
    '#u',
    '#U95',
    '#u, common',
    '#u, own',
    '#Deviation',
    '#\u00b1\u00a0U95',
  ] as readonly string[],
  head: ['Axis', '#Length', '#\u00b1\u00a0U95', '#Deviation', '#\u00b1\u00a0U95'] as readonly string[],
  headEdges: ['#At the edges', '#\u00b1\u00a0U95'] as readonly string[],
  die: 'The longest axis (full line) and the shortest (dashed), where they differ; ringed: the corner whose radius is furthest from the mean.',
  dieAbout: (kind: string) => `A ${kind} with its longest and shortest axis.`,
  net: (U95: string) =>
    `The die unfolded: each corner's radius in mm, in the faces that meet there; U95 of the mean radius ${U95} mm.`,
  netAbout: (list: string) => `Corner radii: ${list}.`,
  facesPicture: (umPerPx: string, unseen: string) =>
    `The real die unfolded: each face as the photo shows it that shows most of it, looked at straight on; ${umPerPx} \u00b5m a pixel. A picture to look at, not to measure from.${unseen === '' ? '' : ` No photo shows ${unseen}.`}`,
  facesPictureAbout: (list: string) => `Faces and the photos they are taken from: ${list}.`,
  corners: 'Corner radii, mm',
  headCorners: ['Corner', '#Radius', '#u'] as readonly string[],
  edges: 'Edge radii (mean of both ends), mm',
  headEdge: ['Edge', '#Radius', '#u'] as readonly string[],
  faces: "Faces: distance from the die's middle, at its edges, mm; land, mm\u00b2",
  headFaces: ['Face', '#Distance', '#u', '#Land'] as readonly string[],
  covariance: 'Covariance of the axes, \u00b5m\u00b2 (that of faces and corners stands in the attached data)',
  axis: 'Axis',
};

const de: typeof en = {
  meanAxis: (length, d4) =>
    `Die mittlere Achse (der Abstand zweier gegenüberliegender Flächen${d4 ? '; beim d4 von einer Fläche zur Ecke gegenüber' : ''}) misst ${length}.`,
  differ: (longest, shortest, difference) =>
    `${longest} ist die längste Achse, ${shortest} die kürzeste; sie unterscheiden sich um ${difference}. Der Würfel ist unrund.`,
  alike: (difference) =>
    `Die Achsen unterscheiden sich um höchstens ${difference}; ein Unterschied zwischen ihnen ist nicht gezeigt.`,
  rounding: (radius) => `Ecken und Kanten sind im Mittel mit einem Radius von ${radius} gerundet.`,
  range: (above, most, share) =>
    `Die Spannweite der Achsen wird durch gemeinsame Ziehungen aller beurteilt, denn wo mehrere beinahe gleichauf liegen, kann jede die äußerste sein. Die Ziehungen liegen im Mittel ${above} \u00b5m über der gefundenen Spannweite und mit ${share} % unter ${most} mm: Schon die Unsicherheit zieht die äußersten auseinander, und dafür wird nichts abgezogen.`,
  chart: (range, size) =>
    `Achsen: Abweichung von ihrem Mittel (Punkt) mit U95 (Balken).${range ? ' Darunter die gefundene und die größte erlaubte Spannweite.' : ''}${size ? ' Darunter: die mittlere Achse und ihre Grenzen (schraffiert).' : ''}`,
  deviations: (list) => `Abweichung jeder Achse vom Mittel: ${list}.`,
  axes: 'Achsen, mm; Abweichung vom Mittel, \u00b5m',
  headAll: ['Achse', '#Länge', '#u', '#U95', '#u, gemeinsam', '#u, eigen', '#Abweichung', '#\u00b1\u00a0U95'],
  head: ['Achse', '#Länge', '#\u00b1\u00a0U95', '#Abweichung', '#\u00b1\u00a0U95'],
  headEdges: ['#An den Kanten', '#\u00b1\u00a0U95'],
  die: 'Die längste Achse (durchgezogen) und die kürzeste (gestrichelt), wo sie sich unterscheiden; eingekreist: die Ecke, deren Radius am weitesten vom Mittel liegt.',
  dieAbout: (kind) => `Ein ${kind} mit seiner längsten und kürzesten Achse.`,
  net: (U95) =>
    `Der Würfel abgewickelt: der Radius jeder Ecke in mm, in den Flächen, die dort zusammentreffen; U95 des mittleren Radius ${U95} mm.`,
  netAbout: (list) => `Eckenradien: ${list}.`,
  facesPicture: (umPerPx, unseen) =>
    `Der wirkliche Würfel abgewickelt: jede Fläche, wie das Foto sie zeigt, das am meisten von ihr zeigt, gerade von vorn gesehen; ${umPerPx} \u00b5m je Pixel. Ein Bild zum Ansehen, nicht zum Messen.${unseen === '' ? '' : ` Kein Foto zeigt ${unseen}.`}`,
  facesPictureAbout: (list) => `Flächen und die Fotos, von denen sie stammen: ${list}.`,
  corners: 'Eckenradien, mm',
  headCorners: ['Ecke', '#Radius', '#u'],
  edges: 'Kantenradien (Mittel beider Enden), mm',
  headEdge: ['Kante', '#Radius', '#u'],
  faces: 'Flächen: Abstand von der Mitte des Würfels, an ihren Kanten, mm; Auflage, mm\u00b2',
  headFaces: ['Fläche', '#Abstand', '#u', '#Auflage'],
  covariance: 'Kovarianz der Achsen, \u00b5m\u00b2 (die von Flächen und Ecken steht in den angehängten Daten)',
  axis: 'Achse',
};

/** Lengths, roundings and their pictures. */
export const SHAPE_WORDS = { en, de } satisfies Catalogue<typeof en>;
