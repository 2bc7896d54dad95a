import type { BudgetLine } from '../../formats/result.ts';
import type { Catalogue } from '../kit/catalogue.ts';

const en = {
  result: {
    net: 'The faces, unfolded',
    netAbout: (perPixel: string) =>
      `Each face as the photo shows it that shows most of it, looked at straight on; ${perPixel} a pixel. What no photo shows is left clear.`,
    heading: 'Result',
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
      shade: 'shade of the stage beside edges that lie on it',
      sharpening: 'sharpening by the camera',
      crown: 'crowns of the faces',
      apex: 'height of the apex',
      front: 'numbers in front that no face told',
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
      'A land is the flat part of a face inside the rounding; what the die comes to rest on. How far a face stands proud in its middle (its crown) shows only where a photo sees it edge-on.',
  },
};

const de: typeof en = {
  result: {
    net: 'Die Flächen, abgewickelt',
    netAbout: (perPixel) =>
      `Jede Fläche, wie das Foto sie zeigt, das am meisten von ihr zeigt, gerade von vorn gesehen; ${perPixel} je Pixel. Was kein Foto zeigt, bleibt leer.`,
    heading: 'Ergebnis',
    meanAxis: 'Mittlere Achse',
    range: 'Spannweite der Achsen',
    rangeAbout: 'längste minus kürzeste',
    radius: 'Mittlerer Eckenradius',
    plusMinus:
      '± ist die erweiterte Messunsicherheit U95: Etwa 95 von 100 solchen Intervallen enthalten den wahren Wert.',
    differ: (longest, shortest) =>
      `Die Achsen unterscheiden sich stärker, als Zufall erklärt. ${longest} ist die längste, ${shortest} die kürzeste.`,
    agree: 'Es zeigt sich kein Unterschied zwischen den Achsen: Zufall allein erklärt ihren Abstand.',
    save: 'Als JSON sichern',
    print: 'Drucken',
    remarks: 'Hinweise',
  },

  axes: {
    heading: 'Achsen',
    caption: 'Längen mit ihrer U95, und wie weit jede vom Mittel aller Achsen entfernt ist',
    axis: 'Achse',
    length: 'Länge',
    u95: '±\u00a0U95',
    fromMean: 'Vom Mittel',
    shorter: 'kürzer',
    longer: 'länger',
    together: 'alle zusammen',
  },

  doubt: {
    heading: 'Unsicherheit',
    common: (u95, source) =>
      `Gemeinsamer Teil, ${u95}: verschiebt alle Achsen gleich, zusammen länger oder kürzer. Größte Quelle: ${source}.`,
    difference: (u95, source) =>
      `Teil der Unterschiede, ${u95} an einer typischen Achse: um wie viel eine Achse gegen die anderen falsch sein kann. Er entscheidet, ob der Würfel unrund ist. Größte Quelle: ${source}.`,
    scaleHelp: 'Gemessene Prüfstrecken einzutragen verkleinert den gemeinsamen Teil.',
    caption: 'Woher die Unsicherheit kommt: U95, die jede Quelle allein ergäbe',
    source: 'Quelle',
    meanAxis: 'Mittlere Achse',
    differenceOfAxes: 'Unterschied zweier Achsen',
    meanRadius: 'Mittlerer Eckenradius',
    sources: {
      noise: 'Bildrauschen',
      outline: 'ungleichmäßiger Umriss',
      camera: 'Kamera und ihr Ort',
      scale: 'Maßstab der Karte',
      edge: 'Lage der Kanten',
      sheen: 'Glanz am Rand',
      shade: 'Schatten neben aufliegenden Kanten',
      sharpening: 'Schärfung durch die Kamera',
      crown: 'Wölbung der Flächen',
      apex: 'Höhe der Spitze',
      front: 'vordere Zahlen, die keine Fläche zeigt',
    },
  },

  outlines: {
    heading: 'Fotos und Umrisse',
    about:
      'Die gestrichelte Linie ist der angepasste Umriss. Die durchgezogene zeigt, wie weit die gemessene Kante von ihm abweicht, nach außen oder innen: über benachbarte Punkte gemittelt, vergrößert, und unterbrochen, wo die Kante zu schwach ist.',
    choose: (photo) => `${photo} zeigen`,
    enlarge: 'Abweichungen vergrößern',
    times: (n) => `× ${n}`,
    model: 'angepasster Umriss',
    measured: 'gemessene Kante, vergrößert',
    zoomIn: 'Näher',
    zoomOut: 'Weiter weg',
    die: 'Ganzer Würfel',
    photo: 'Ganzes Foto',
    scale: (px, length) => `${px} = ${length}`,
    left: 'Nach links',
    right: 'Nach rechts',
    up: 'Nach oben',
    down: 'Nach unten',
    alt: (photo, rms) => `${photo} mit dem angepassten Umriss; die gemessene Kante weicht um ${rms} (Effektivwert) ab`,
    facts: {
      lean: 'Neigung der Kamera',
      scale: 'Maßstab am Würfel',
      rms: 'Abweichung, Effektivwert',
      points: 'Kantenpunkte',
      card: 'Kartenpunkte',
      blur: 'Unschärfe',
    },
  },

  details: {
    heading: 'Ecken, Kanten, Flächen',
    corners: (count) => `Eckenradien (${count})`,
    edges: (count) => `Kantenradien (${count})`,
    faces: (count) => `Flächen (${count})`,
    corner: 'Ecke',
    edge: 'Kante',
    face: 'Fläche',
    radius: 'Radius',
    distance: 'Von der Mitte',
    land: 'Auflage',
    landAbout:
      'Die Auflage ist der ebene Teil einer Fläche innerhalb der Rundung; auf ihr kommt der Würfel zur Ruhe. Wie weit eine Fläche in der Mitte vorsteht (ihre Wölbung), zeigt nur ein Foto, das sie genau von der Kante sieht.',
  },
};

export const RESULT_WORDS: Catalogue<typeof en> = { en, de };
