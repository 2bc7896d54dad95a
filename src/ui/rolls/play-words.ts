import { reader } from '../kit/catalogue.ts';

/** Wording of what unevenness does at the table, and of putting a prediction to the test. */
const en = {
  play: {
    heading: 'At the table',
    about:
      'What the unevenness does to the common ways of rolling: the chance to reach a target with one roll, with the better or the worse of two, and in a pool of ten such dice.',
    kind: 'Read',
    kinds: { plain: 'one roll', best: 'the better of two', worst: 'the worse of two' },
    chart: (kind: string) => `Chance to reach each target, ${kind}: points more or less than with an even die`,
    chartAbout: (kind: string, parts: string) => `Difference from an even die in points, ${kind}: ${parts}`,
    part: (target: string, points: string, low: string, high: string) => `${target}: ${points} (${low} to ${high})`,
    points: 'points',
    most: (target: string, kind: string, value: string, low: string, high: string, even: string) =>
      `Most is changed at ${target} or more, ${kind}: ${value} (${low} to ${high}), an even die ${even}.`,
    one: (name: string, value: string, low: string, high: string, even: string) =>
      `${name}: ${value} (${low} to ${high}), an even die ${even}.`,
    highest: (name: string, kind: string) => `The highest, ${name}, ${kind}`,
    lowest: (name: string, kind: string) => `The lowest, ${name}, ${kind}`,
    pool: (dice: string, target: string, hits: string, low: string, high: string, even: string) =>
      `A pool of ${dice} such dice that hit on ${target} or more: ${hits} hits in the mean (${low} to ${high}), even dice ${even}.`,
    games: (one: string) => `In a game of 100 such rolls that is ${one} more or fewer at most.`,
    table: 'All targets as a table',
    columns: (kind: string) => ['Target', kind, 'from', 'to', 'an even die'],
    names: 'The numbers of this die are no values: there are no targets to reach.',
  },
  prove: {
    heading: 'Prove it yourself',
    about:
      'A prediction is worth what it stands up to. Throw this very die, write down every roll in the roll log below, and see there whether shape and rolls agree. Pairs of shape and rolls from many people tell whether the model is right for dice at all.',
    often: (rolls: string, hours: string) =>
      `About ${rolls} rolls tell this die from an even one 4 times out of 5, if the prediction holds: some ${hours} hours by hand.`,
    least: (rolls: string) => `If it is as uneven as its interval allows, ${rolls} are enough.`,
    never:
      'This die is predicted so even that nobody throws it often enough to tell. Take one that is visibly uneven: its rolls test the model sooner.',
    how: [
      'Before the first throw write down how many there will be, on which table and how; count them all.',
      'Shake the die in a cup or in both hands and throw it at least two hand spans over a hard, level table. A throw that leaves the table, leans or stops at the rim is thrown again and not counted.',
      'Write down each roll before the die is picked up: by the keys of the tally, or from a photo of every throw.',
      'Change neither die, table nor hand on the way; if one must change, begin another log.',
    ],
    pair: 'This die and its rolls as a pair',
    pairAbout:
      'A file with the shape and the counts, and what you say here; no photos, nothing of the camera. Nothing is sent: give it to whoever collects such files.',
    fields: { die: 'Which die', table: 'Table', hand: 'How it was thrown' },
    save: 'Save the pair',
    noRolls: 'There are no rolls in the log yet.',
    pool: 'Pool pairs',
    poolAbout:
      'Opens files of pairs from any number of people and pools them into one slope: seen unevenness over predicted, 1 where the model is right.',
    open: 'Open files of pairs',
    refused: (name: string, at: string) => `${name} is no file of pairs (${at}). Nothing of it was taken.`,
    columns: ['Die', 'Throws', 'Slope', 'u'],
    even: 'too even to tell',
    slope: (dice: string, throws: string, value: string, low: string, high: string) =>
      `${dice} dice, ${throws} throws: slope ${value} (${low} to ${high}).`,
    scatter: (scatter: string) => `From die to die it differs by ${scatter} beyond what rolls and shapes explain.`,
    agrees: 'That agrees with the model.',
    differs: 'That does not agree with the model: real dice feel their shape otherwise than it says.',
    none: 'None of these dice is uneven enough to tell.',
    published:
      'The only throws of bodies of known shape that were found, fifteen steel bars (Budden 1980), ask for a slope of 1.16 and differ from bar to bar by a quarter to a third of the effect; the intervals here allow for 35 %.',
  },
};

const de: typeof en = {
  play: {
    heading: 'Am Spieltisch',
    about:
      'Was die Ungleichmäßigkeit bei den üblichen Arten zu würfeln ausmacht: die Chance, ein Ziel mit einem Wurf zu erreichen, mit dem besseren oder dem schlechteren von zweien, und im Vorrat von zehn solchen Würfeln.',
    kind: 'Gelesen wird',
    kinds: { plain: 'ein Wurf', best: 'der bessere von zweien', worst: 'der schlechtere von zweien' },
    chart: (kind) =>
      `Chance, jedes Ziel zu erreichen, ${kind}: Punkte mehr oder weniger als mit einem gleichmäßigen Würfel`,
    chartAbout: (kind, parts) => `Unterschied zu einem gleichmäßigen Würfel in Punkten, ${kind}: ${parts}`,
    part: (target, points, low, high) => `${target}: ${points} (${low} bis ${high})`,
    points: 'Punkte',
    most: (target, kind, value, low, high, even) =>
      `Am meisten ändert sich bei ${target} oder mehr, ${kind}: ${value} (${low} bis ${high}), ein gleichmäßiger Würfel ${even}.`,
    one: (name, value, low, high, even) => `${name}: ${value} (${low} bis ${high}), ein gleichmäßiger Würfel ${even}.`,
    highest: (name, kind) => `Die höchste Zahl, ${name}, ${kind}`,
    lowest: (name, kind) => `Die niedrigste Zahl, ${name}, ${kind}`,
    pool: (dice, target, hits, low, high, even) =>
      `Ein Vorrat von ${dice} solchen Würfeln, die ab ${target} treffen: im Mittel ${hits} Treffer (${low} bis ${high}), gleichmäßige Würfel ${even}.`,
    games: (one) => `In einer Partie mit 100 solchen Würfen sind das höchstens ${one} mehr oder weniger.`,
    table: 'Alle Ziele als Tabelle',
    columns: (kind) => ['Ziel', kind, 'von', 'bis', 'gleich\u00admäßig'],
    names: 'Die Zahlen dieses Würfels sind keine Werte: Es gibt keine Ziele zu erreichen.',
  },
  prove: {
    heading: 'Selbst nachprüfen',
    about:
      'Eine Vorhersage ist so viel wert, wie sie aushält. Werfen Sie genau diesen Würfel, schreiben Sie jeden Wurf unten in die Wurfliste, und sehen Sie dort, ob Form und Würfe zusammenpassen. Paare aus Form und Würfen von vielen Menschen sagen, ob das Modell für Würfel überhaupt stimmt.',
    often: (rolls, hours) =>
      `Etwa ${rolls} Würfe unterscheiden diesen Würfel in 4 von 5 Fällen von einem gleichmäßigen, wenn die Vorhersage stimmt: rund ${hours} Stunden von Hand.`,
    least: (rolls) => `Ist er so ungleichmäßig, wie sein Intervall es zulässt, genügen ${rolls}.`,
    never:
      'Dieser Würfel ist nach der Vorhersage so gleichmäßig, dass niemand oft genug würfelt, um es zu merken. Nehmen Sie einen sichtbar ungleichmäßigen: Seine Würfe prüfen das Modell eher.',
    how: [
      'Schreiben Sie vor dem ersten Wurf auf, wie viele es werden, auf welchem Tisch und wie geworfen wird; zählen Sie alle.',
      'Schütteln Sie den Würfel im Becher oder in beiden Händen und werfen Sie ihn mindestens zwei Handspannen weit über einen harten, ebenen Tisch. Ein Wurf, der den Tisch verlässt, angelehnt oder am Rand liegen bleibt, wird wiederholt und nicht gezählt.',
      'Schreiben Sie jeden Wurf auf, bevor Sie den Würfel aufheben: mit den Tasten der Strichliste oder nach einem Foto jedes Wurfs.',
      'Wechseln Sie unterwegs weder Würfel noch Tisch noch Hand; muss es sein, beginnen Sie eine neue Liste.',
    ],
    pair: 'Dieser Würfel und seine Würfe als Paar',
    pairAbout:
      'Eine Datei mit der Form, den Anzahlen und dem, was Sie hier angeben; keine Fotos, nichts von der Kamera. Gesendet wird nichts: Geben Sie sie, wem Sie wollen, der solche Dateien sammelt.',
    fields: { die: 'Welcher Würfel', table: 'Tisch', hand: 'Wie geworfen wurde' },
    save: 'Paar speichern',
    noRolls: 'In der Liste stehen noch keine Würfe.',
    pool: 'Paare zusammenfassen',
    poolAbout:
      'Öffnet Dateien mit Paaren von beliebig vielen Menschen und fasst sie zu einer Steigung zusammen: gesehene Ungleichmäßigkeit durch vorhergesagte, 1, wo das Modell stimmt.',
    open: 'Dateien mit Paaren öffnen',
    refused: (name, at) => `${name} ist keine Datei mit Paaren (${at}). Nichts davon wurde übernommen.`,
    columns: ['Würfel', 'Würfe', 'Steigung', 'u'],
    even: 'zu gleichmäßig, um es zu sagen',
    slope: (dice, throws, value, low, high) =>
      `${dice} Würfel, ${throws} Würfe: Steigung ${value} (${low} bis ${high}).`,
    scatter: (scatter) =>
      `Von Würfel zu Würfel unterscheidet sie sich um ${scatter} über das hinaus, was Würfe und Formen erklären.`,
    agrees: 'Das passt zum Modell.',
    differs: 'Das passt nicht zum Modell: Wirkliche Würfel spüren ihre Form anders, als es sagt.',
    none: 'Keiner dieser Würfel ist ungleichmäßig genug, um es zu sagen.',
    published:
      'Die einzigen gefundenen Würfe von Körpern bekannter Form, fünfzehn Stahlstäbe (Budden 1980), verlangen eine Steigung von 1,16 und unterscheiden sich von Stab zu Stab um ein Viertel bis ein Drittel der Wirkung; die Intervalle hier lassen 35 % zu.',
  },
};

export const playWords = reader({ en, de });
