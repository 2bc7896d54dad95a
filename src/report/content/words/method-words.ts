import type { BudgetLine } from '../../../formats/result.ts';
import type { Catalogue } from '../../../text/language.ts';

const en = {
  /** What was done, short. */
  short:
    'The die was photographed on the printed Evencast card. The card gives camera and scale; the outlines of the die in all photos are fitted together by one solid of flat faces and rounded corners.',
  /** What was done, for whoever wants to judge it. */
  method: [
    'The die stands on a printed card whose ring of squares and markers is known. Their corner points, found to a few hundredths of a pixel, give the camera (focal length, centre, two terms of distortion), the pose of the card in each photo, its bow and its scale, in one least-squares fit.',
    'The outline of the die is compared pixel by pixel, in a band along it, with what the predicted outline would show: step and mirrored rim blurred in linear light, tone curve, sharpening. How much the rim mirrors comes from the faces themselves (Fresnel equations, smooth and rough).',
    'One solid is fitted to all photos together: a plane per face, at its own distance, and a ball per corner, tangent to the planes that meet there; with each photo where the die stands. An axis is the sum of two opposite face distances. The covariance comes from the fit, from the scatter of stretches of outline, and from the influences listed in the budget (JCGM 100).',
  ] as readonly string[],
  /** What this method cannot do. */
  limits: [
    'A crown (a face standing proud in its middle) shows only where a photo sees the face edge-on; where none does, the doubt of lengths over the faces holds what is believed of the finish. Outlines show no sunk faces, no pits, no engraving and nothing inside: an off-centre mass or a bubble is not seen.',
    'A gate mark is seen only where it stands in an outline.',
    'Photos reach hundredths of a millimetre, not micrometres.',
    'The prediction of rolls assumes solid, uniform material and a rigid, level table.',
  ] as readonly string[],
  /** Cautions that stand on every report. */
  cautions: {
    money:
      'Not for gaming for money: this report is no certificate for regulated play, where local law, the regulator and accredited laboratories decide.',
    lot: 'It speaks of this one die. One die says little about the lot that it came from; judging a lot takes a sample of it.',
    parts: 'Small parts: keep small dice away from small children.',
    lab: 'Laid out after ISO/IEC 17025:2017, 7.8, as far as that applies to measurements of one\u2019s own. No accreditation is held or claimed.',
  },
  sources: {
    noise: 'Noise of the pictures',
    outline: 'Scatter of stretches of outline',
    camera: 'Camera and poses of the card',
    scale: 'Scale of the card',
    edge: 'Where a picture\u2019s edge lies, all alike',
    sheen: 'Light mirrored at the rim',
    shade: 'Shade of the stage beside edges that lie on it',
    sharpening: 'Sharpening by the camera',
    crown: 'Crowns of the faces',
    apex: 'Apex angle of the mould',
    front: 'Numbers in front that no face told',
  } satisfies Record<BudgetLine['source'], string> as Readonly<Record<BudgetLine['source'], string>>,
  budget: {
    caption: 'Budget: standard uncertainty from each source alone, \u00b5m',
    head: ['Source', '#Mean axis', '#Difference of two axes', '#Mean corner radius'] as readonly string[],
    all: 'All together',
  },
  fitted: {
    caption: 'Camera, card and surface as fitted',
    head: ['Quantity', '#Value', '#u'] as readonly string[],
    picture: 'Picture, px',
    focal: 'Focal length f, px',
    centreX: 'Centre x, px',
    centreY: 'Centre y, px',
    k1: 'Distortion k1',
    k2: 'Distortion k2',
    scaleX: 'Card, printed over designed, x',
    scaleY: 'Card, printed over designed, y',
    bow: 'Bow of the card, mm',
    mirror: 'Rim: mirrored share',
    rough: 'Rim: rough share',
    limb: 'Rim: brightening of the body',
    sharpening: 'Sharpening, amount',
    sharpeningRadius: 'Sharpening, radius, px',
    points: 'Points of outline',
    chiSquare: 'Reduced chi-square',
    sigma: 'Scatter of stretches of outline, px',
    stop: 'Fit ended by',
    cameraStop: 'Fit of camera and card ended by',
    stops: { converged: 'converged', steps: 'steps', stuck: 'stuck' } as Readonly<Record<string, string>>,
  },
  software: (name: string, version: string, model: string, format: string, draws: number, seed: number) =>
    `Software: ${name} ${version}, kernels of the rolls ${model}. Formats: ${format}, evencast-report/1. Seed of the ${draws} draws behind the probability of several limits being kept at once: ${seed}. Nothing else is left to chance.`,
};

const de: typeof en = {
  short:
    'Der Würfel wurde auf der gedruckten Evencast-Karte fotografiert. Die Karte gibt Kamera und Maßstab; an die Umrisse des Würfels in allen Fotos wird gemeinsam ein Körper aus ebenen Flächen und runden Ecken angepasst.',
  method: [
    'Der Würfel steht auf einer gedruckten Karte, deren Ring aus Quadraten und Marken bekannt ist. Ihre Eckpunkte, auf wenige Hundertstel eines Pixels gefunden, geben in einer Ausgleichung nach kleinsten Quadraten die Kamera (Brennweite, Mitte, zwei Glieder der Verzeichnung), die Lage der Karte in jedem Foto, ihre Wölbung und ihren Maßstab.',
    'Der Umriss des Würfels wird in einem Band entlang der Kante Pixel für Pixel mit dem verglichen, was der vorhergesagte Umriss zeigen würde: Stufe und spiegelnder Rand, in linearem Licht verwischt, Gradationskurve, Schärfung. Wie stark der Rand spiegelt, sagen die Flächen selbst (Fresnelsche Formeln, glatt und rau).',
    'An alle Fotos gemeinsam wird ein Körper angepasst: je Fläche eine Ebene in eigenem Abstand, je Ecke eine Kugel, die die dort zusammentreffenden Ebenen berührt; dazu in jedem Foto, wo der Würfel steht. Eine Achse ist die Summe zweier gegenüberliegender Flächenabstände. Die Kovarianz kommt aus der Anpassung, aus der Streuung von Abschnitten des Umrisses und aus den Einflüssen, die im Unsicherheitsbudget stehen (JCGM 100).',
  ],
  limits: [
    'Eine Wölbung (eine Fläche, die in ihrer Mitte vorsteht) zeigt sich nur, wo ein Foto die Fläche von der Seite sieht; wo keines das tut, enthält die Unsicherheit der Längen über die Flächen, was von der Bearbeitung angenommen wird. Umrisse zeigen keine eingesunkenen Flächen, keine Löcher, keine Gravur und nichts im Inneren: Ein Schwerpunkt außerhalb der Mitte oder eine Blase wird nicht gesehen.',
    'Ein Angussrest wird nur gesehen, wo er in einem Umriss vorsteht.',
    'Fotos reichen bis zu Hundertsteln eines Millimeters, nicht bis zu Mikrometern.',
    'Die Vorhersage der Würfe nimmt festes, gleichmäßiges Material und einen starren, ebenen Tisch an.',
  ],
  cautions: {
    money:
      'Nicht für Spiele um Geld: Dieser Bericht ist kein Zertifikat für geregeltes Spiel; dort entscheiden das örtliche Recht, die Aufsicht und akkreditierte Labore.',
    lot: 'Er gilt für diesen einen Würfel. Ein Würfel sagt wenig über das Los, aus dem er kommt; ein Los wird nach einer Stichprobe beurteilt.',
    parts: 'Kleinteile: Halten Sie kleine Würfel von kleinen Kindern fern.',
    lab: 'Aufgebaut nach ISO/IEC 17025:2017, 7.8, soweit das auf eigene Messungen zutrifft. Eine Akkreditierung besteht nicht und wird nicht behauptet.',
  },
  sources: {
    noise: 'Bildrauschen',
    outline: 'Streuung von Abschnitten des Umrisses',
    camera: 'Kamera und Lagen der Karte',
    scale: 'Maßstab der Karte',
    edge: 'Ort der Kante im Bild, bei allen gleich',
    sheen: 'Spiegelndes Licht am Rand',
    shade: 'Schatten neben aufliegenden Kanten',
    sharpening: 'Schärfung durch die Kamera',
    crown: 'Wölbung der Flächen',
    apex: 'Winkel der Spitze in der Form',
    front: 'Vordere Zahlen, die keine Fläche zeigte',
  },
  budget: {
    caption: 'Unsicherheitsbudget: Standardunsicherheit aus jeder Quelle allein, \u00b5m',
    head: ['Quelle', '#Mittlere Achse', '#Unterschied zweier Achsen', '#Mittlerer Eckenradius'],
    all: 'Alle zusammen',
  },
  fitted: {
    caption: 'Kamera, Karte und Oberfläche nach der Anpassung',
    head: ['Größe', '#Wert', '#u'],
    picture: 'Bild, px',
    focal: 'Brennweite f, px',
    centreX: 'Mitte x, px',
    centreY: 'Mitte y, px',
    k1: 'Verzeichnung k1',
    k2: 'Verzeichnung k2',
    scaleX: 'Karte, gedruckt durch entworfen, x',
    scaleY: 'Karte, gedruckt durch entworfen, y',
    bow: 'Wölbung der Karte, mm',
    mirror: 'Rand: spiegelnder Anteil',
    rough: 'Rand: rauer Anteil',
    limb: 'Rand: Aufhellung des Körpers',
    sharpening: 'Schärfung, Stärke',
    sharpeningRadius: 'Schärfung, Radius, px',
    points: 'Punkte des Umrisses',
    chiSquare: 'Reduziertes Chi-Quadrat',
    sigma: 'Streuung von Abschnitten des Umrisses, px',
    stop: 'Ende der Anpassung',
    cameraStop: 'Ende der Anpassung von Kamera und Karte',
    stops: { converged: 'am Ziel', steps: 'Zahl der Schritte', stuck: 'kein besserer Schritt' },
  },
  software: (name, version, model, format, draws, seed) =>
    `Programm: ${name} ${version}, Kerne der Würfe ${model}. Formate: ${format}, evencast-report/1. Startwert der ${draws} Ziehungen hinter der Wahrscheinlichkeit, dass mehrere Grenzen zugleich eingehalten sind: ${seed}. Sonst bleibt nichts dem Zufall überlassen.`,
};

/** What was done, with what doubt, and what it cannot do. */
export const METHOD_WORDS = { en, de } satisfies Catalogue<typeof en>;
