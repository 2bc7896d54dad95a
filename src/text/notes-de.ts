import type { NoteCode } from '../formats/notes.ts';
import type { Message } from './note-parts.ts';

type Words = (seen: string, needed: string) => Message;
const say =
  (text: string, advice: string): Words =>
  () => ({ text, advice });

/** Numbers as notes give them, "20/8" or "20" alone, in words. */
const shownNumbers = (numbers: string): string => numbers.replace(/^([^/,]+)\/([^/,]+)$/, '$1 oben und $2 vorn');

/** The German of `notes-en.ts`. */
export const GERMAN: { readonly [K in NoteCode]: Words } = {
  'not-an-image': say(
    'Die Datei ist kein Bild, das dieses Programm lesen kann.',
    'Geben Sie ein JPEG oder PNG, wie die Kamera es schrieb.',
  ),
  truncated: say('Die Bilddatei endet zu früh.', 'Kopieren Sie sie noch einmal von Kamera oder Telefon.'),
  'too-large': (seen, needed) => ({
    text: `Das Bild misst ${seen}; höchstens ${needed} lassen sich lesen.`,
    advice: 'Verkleinern Sie es oder fotografieren Sie mit geringerer Auflösung.',
  }),
  'too-small': (seen, needed) => ({
    text: `Das Bild misst ${seen}; mindestens ${needed} sind nötig.`,
    advice: 'Geben Sie das Foto, wie die Kamera es schrieb, keine Vorschau.',
  }),
  heic: say(
    'Das Foto ist im Format HEIC, das Browser nicht lesen.',
    'Stellen Sie das Telefon auf „maximale Kompatibilität“ (JPEG), oder exportieren Sie das Foto als JPEG.',
  ),
  'format-unread': (seen) => ({
    text: `Das Foto ist im Format ${seen}, das sich hier nicht entschlüsseln lässt.`,
    advice:
      'Öffnen Sie es in dem Programm, das es zeigt, und exportieren oder sichern Sie es als JPEG in voller Größe und bester Qualität.',
  }),
  beside: (seen) => ({
    text: `Auf der Bühne liegt etwas neben dem Würfel (${seen}).`,
    advice: 'Wischen Sie Staub, Haare und Striche von der Bühne, dann misst es sich am besten.',
  }),
  compressed: (seen, needed) => ({
    text: `Das Foto wurde stark komprimiert (JPEG-Qualität etwa ${seen}; ab ${needed} misst es sich gut): Kanten können weiter danebenliegen, als die Unsicherheit sagt.`,
    advice:
      'Geben Sie die Datei, wie die Kamera sie schrieb: Messenger und Mailprogramme verkleinern Fotos; senden Sie sie als Datei oder Dokument.',
  }),
  'colour-alone': (seen, needed) => ({
    text: `Würfel und Bühne unterscheiden sich nur in der Farbe, und ein JPEG hält Farbe grob fest (Qualität etwa ${seen}; dafür sind ${needed} oder mehr nötig).`,
    advice: 'Drucken Sie eine Bühne, die deutlich heller oder dunkler ist als der Würfel.',
  }),
  portrait: (seen) => ({
    text: `Neben dem Würfel hat das Bild nur ${seen} % des Korns, das es auf ihm hat: Ein Porträtmodus oder Filter hat einen eigenen Umriss gezogen.`,
    advice: 'Schalten Sie Porträtmodus und Hintergrundunschärfe ab und nehmen Sie das Foto neu auf.',
  }),
  'background-blur': (seen, needed) => ({
    text: `Die gedruckten Kanten der Karte sind über ${seen} px unscharf, die des Würfels über ${needed} px, obwohl beide gleich weit entfernt sind: Ein Porträtmodus hat unscharf gemacht, was er für Hintergrund hielt, und einen eigenen Umriss gezogen.`,
    advice: 'Schalten Sie Porträtmodus und Hintergrundunschärfe ab und nehmen Sie das Foto neu auf.',
  }),
  smoothed: (seen, needed) => ({
    text: `Das Korn des Bildes ist über ${seen} px geglättet, mehr als seine Kanten (${needed} px): Ein Rauschfilter hat die Kanten neu gezeichnet. Die Unsicherheit ist dafür größer.`,
    advice:
      'Schalten Sie Rauschminderung und Filter ab, nehmen Sie mehr Licht und geben Sie die Datei, wie die Kamera sie schrieb.',
  }),
  sharpened: (seen, needed) => ({
    text: `Neben den schwarzen Feldern der Karte schießt das Weiß um ${seen} % über (bis ${needed} % misst es sich gut): Das Bild wurde stark geschärft. Die Unsicherheit ist dafür größer.`,
    advice: 'Schalten Sie Schärfung und Filter ab und geben Sie die Datei, wie die Kamera sie schrieb.',
  }),
  'contrast-raised': (seen, needed) => ({
    text: `Schwarz und Weiß des Drucks sind abgeschnitten (${seen} von 255), die Bühne ist es nicht (${needed}): Der Kontrast wurde örtlich angehoben. Die Unsicherheit ist dafür größer.`,
    advice: 'Schalten Sie HDR, Klarheit und Filter ab und geben Sie die Datei, wie die Kamera sie schrieb.',
  }),
  noisy: (seen, needed) => ({
    text: `Das Bild rauscht: Die Bühne streut um ${seen} von 255 (bis ${needed} misst es sich gut).`,
    advice: 'Nehmen Sie mehr Licht oder eine niedrigere ISO-Zahl.',
  }),
  pattern: (seen) => ({
    text: `Die Haut des Würfels hat mehrere Farben: Neben seinen Kanten wechselt das Licht ${seen}-mal so schnell wie auf einfarbiger Haut angenommen; die Unsicherheit ist dafür größer.`,
    advice: 'Eine Bühne, die sich von all seinen Farben unterscheidet, und mehr Fotos verkleinern sie.',
  }),
  metal: (seen) => ({
    text: `Das sieht nach Metall aus oder einer anderen Oberfläche, die spiegelt: Seine aufrechten Flächen sind um ${seen} % heller als die obere und werden zum Streifen hin nicht heller. Die Unsicherheit ist dafür größer.`,
    advice:
      'Ein Spiegel zeigt am Rand das Zimmer. Mattieren Sie ihn mit abwischbarem Kreide- oder Prüfspray und fotografieren Sie ihn neu.',
  }),
  'no-file': (seen) => ({
    text: `Die Datei ${seen} ist nicht da oder leer.`,
    advice: 'Kopieren Sie das Foto noch einmal; sehen Sie nach, ob der Auftrag es nennt.',
  }),
  unreadable: say(
    'Das Bild ließ sich nicht entschlüsseln.',
    'Öffnen Sie es in einem anderen Programm und sichern Sie es neu als JPEG.',
  ),
  'no-card': (seen, needed) => ({
    text: `Karte: ${seen} Marken gesehen, ${needed} nötig.`,
    advice: 'Die ganze Karte soll im Bild sein, eben, scharf und gleichmäßig beleuchtet.',
  }),
  'few-markers': (seen, needed) => ({
    text: `Karte: ${seen} Marken gesehen, ${needed} nötig.`,
    advice: 'Decken Sie die Karte auf, gehen Sie etwas zurück und achten Sie auf Schärfe.',
  }),
  'other-card': (seen) => ({
    text: `Eine Karte mit anderen Marken ist im Bild (${seen} unbekannte Marken).`,
    advice: 'Drucken Sie die Karte dieses Programms.',
  }),
  mirrored: (seen) => ({
    text: `Das Foto ist gespiegelt: ${seen} Marken lassen sich nur umgedreht lesen.`,
    advice: 'Schalten Sie das Spiegeln von Selbstporträts ab, oder nehmen Sie die rückseitige Kamera.',
  }),
  'card-points': (seen, needed) => ({
    text: `Karte: ${seen} Eckpunkte scharf genug gefunden, ${needed} nötig.`,
    advice: 'Decken Sie mehr von der Karte auf und stellen Sie auf den Würfel scharf.',
  }),
  'no-die': say(
    'Auf der Bühne steht nichts.',
    'Stellen Sie den Würfel in die Mitte der leeren Bühne; wenn er dort steht, nehmen Sie eine Bühne anderer Farbe.',
  ),
  'crowded-stage': (seen, needed) => ({
    text: `${seen} einzelne Dinge oder Flecken liegen auf der Bühne; höchstens ${needed} werden angesehen.`,
    advice: 'Wischen Sie die Bühne ab, oder drucken Sie die Karte neu auf schlichtes Papier.',
  }),
  'several-dice': (seen) => ({
    text: `Auf der Bühne stehen ${seen} Dinge, 1 ist gewünscht.`,
    advice: 'Lassen Sie einen Würfel auf der Bühne; für viele gibt es die Kiste.',
  }),
  'die-cut': say('Der Würfel reicht bis an den Bildrand.', 'Die ganze Karte soll im Bild sein.'),
  'die-over-ring': say('Der Würfel reicht bis an den Rand der Bühne.', 'Schieben Sie ihn in die Mitte der Bühne.'),
  blur: (seen, needed) => ({
    text: `Die Kanten des Würfels sind über ${seen} px unscharf; bis ${needed} px misst es sich gut.`,
    advice: 'Stellen Sie auf die Oberseite des Würfels scharf, stützen Sie die Kamera ab, nehmen Sie mehr Licht.',
  }),
  burnt: (seen) => ({
    text: `Die Bühne ist überbelichtet (${seen} von 255).`,
    advice: 'Belichten Sie etwas kürzer, oder nehmen Sie weniger Licht.',
  }),
  'low-contrast': (seen, needed) => ({
    text: `Würfel und Bühne unterscheiden sich nur um ${seen} von 255 Stufen; ${needed} sind nötig.`,
    advice: 'Drucken Sie eine Bühne in einer Farbe, die der Würfel nicht hat.',
  }),
  misfit: (seen, needed) => ({
    text: `Der Umriss weicht von dieser Art Würfel ab: ${seen}; bis ${needed} ist üblich.`,
    advice: 'Der Würfel soll eben auf einer Fläche stehen, allein, und Art und Zahlen sollen stimmen.',
  }),
  disagrees: (seen, needed) => ({
    text: `Der Umriss weicht ${seen}-mal so weit vom angepassten Würfel ab wie der anderer Fotos; bis ${needed}-mal ist üblich.`,
    advice: 'Prüfen Sie die Zahlen, und ob es derselbe Würfel ist, der eben auf einer Fläche steht.',
  }),
  'up-doubtful': (seen, needed) => ({
    text: `Der Umriss passt besser zu ${seen} als zu ${needed}.`,
    advice:
      'Prüfen Sie, welche Zahlen in diesem Foto oben und vorn waren, und ob der Würfel eben auf einer Fläche stand.',
  }),
  'other-camera': (seen, needed) => ({
    text: `Das Foto scheint von anderer Kamera, anderem Objektiv oder anderer Brennweite zu sein als die übrigen: ${seen} gesehen, ${needed} nötig.`,
    advice:
      'Nehmen Sie alle Fotos mit einer Kamera bei einer Brennweite auf und geben Sie sie, wie sie sind, weder beschnitten noch verkleinert. Sehen Sie nach, ob die Längen der Prüfstrecken die dieser Karte sind.',
  }),
  'edge-on': (seen, needed) => ({
    text: `Eine Seitenfläche steht ${seen} Grad von der Kante; ab ${needed} misst es sich besser.`,
    advice: 'Drehen Sie den Würfel etwas, oder neigen Sie die Kamera mehr oder weniger.',
  }),
  'unknown-number': (seen) => ({
    text: `${seen} ist keine Zahl dieses Würfels.`,
    advice: 'Wählen Sie die Zahl aus der Liste.',
  }),
  duplicate: (seen) => ({
    text: `Dasselbe Foto wurde zweimal gegeben (${seen}).`,
    advice: 'Lassen Sie eines davon weg.',
  }),
  'scale-unchecked': (seen) => ({
    text: `Der Maßstab der Karte wurde nie geprüft: Alle Längen teilen eine Unsicherheit von ${seen} %, denn ein „an die Seite angepasster“ Druck ist 2 bis 4 % zu klein.`,
    advice:
      'Messen Sie eine Prüfstrecke mit dem Lineal und tragen Sie ihre Länge ein. Unterschiede zwischen Achsen teilen die Unsicherheit nur anteilig.',
  }),
  'card-scatter': (seen, needed) => ({
    text: `Die gedruckten Punkte der Karte liegen ${seen} px neben dem Ort, den sie auf einer ebenen oder gleichmäßig gewölbten Karte hätten; bis ${needed} px ist üblich. Die Unsicherheit wurde darum erweitert.`,
    advice:
      'Kleben Sie die Karte eben fest und geben Sie Fotos, wie die Kamera sie schrieb: ohne Korrektur von Perspektive oder Objektiv, nicht stark komprimiert.',
  }),
  'outline-scatter': (seen, needed) => ({
    text: `Die Umrisse weichen entlang ihrer Kanten um ${seen} px von jedem Würfel dieser Art ab, oder um mehr als ihr Rauschen; bis ${needed} px ist üblich. Die Unsicherheit wurde darum erweitert.`,
    advice:
      'Prüfen Sie Art, Zahlen oben und vorn, und ob der Würfel eben und sauber liegt; fotografieren Sie in weichem Licht, wie die Kamera es schreibt.',
  }),
  'card-misfit': (seen, needed) => ({
    text: `Die gedruckten Punkte der Karte liegen ${seen} px neben dem Ort, den sie auf einer ebenen oder gleichmäßig gewölbten Karte hätten; über ${needed} px werden keine Längen angegeben.`,
    advice:
      'Kleben Sie die Karte eben fest und geben Sie Fotos, wie die Kamera sie schrieb: ohne Korrektur von Perspektive oder Objektiv, nicht stark komprimiert.',
  }),
  'outline-misfit': (seen, needed) => ({
    text: `Die Umrisse weichen entlang ihrer Kanten um ${seen} px von jedem Würfel dieser Art ab, oder um weit mehr als ihr Rauschen; über ${needed} px werden keine Längen angegeben.`,
    advice:
      'Prüfen Sie Art, Zahlen oben und vorn, und ob der Würfel eben und sauber liegt; fotografieren Sie in weichem Licht, wie die Kamera es schreibt, und mehr Fotos.',
  }),
  'turned-pixels': (seen) => ({
    text: `Die Bildpunkte des Fotos waren um ${seen} Grad gedreht, ohne dass seine Daten es sagen; es wurde zurückgedreht gemessen.`,
    advice: 'Geben Sie die Fotos, wie die Kamera sie schrieb: Was sie dreht, hat vielleicht noch mehr verändert.',
  }),
  'moved-camera': (seen, needed) => ({
    text: `Das Foto ist um bis zu ${seen} % geschert, wie bei einer Kamera, die sich bewegt, während sie ihre Zeilen ausliest (bis ${needed} % ist ohne Belang). Die Scherung wurde an der Karte gemessen und die Unsicherheit erweitert.`,
    advice: 'Legen Sie die Kamera auf, nehmen Sie mehr Licht, und schalten Sie Korrekturen der Perspektive ab.',
  }),
  'bars-differ': (seen, needed) => ({
    text: `Die eingetragenen Prüfstrecken stehen im Verhältnis eines Drucks, der entlang X um ${seen} % gestreckt ist; die Karte selbst zeigt ${needed} %. Die Unsicherheit des Maßstabs wurde so erweitert, dass sie beides deckt.`,
    advice: 'Messen Sie beide Strecken noch einmal, je von Strichmitte zu Strichmitte.',
  }),
  'one-photo': (seen) => ({
    text: `${seen} Foto wurde verwendet.`,
    advice: 'Weitere Fotos mit anderen Zahlen oben zeigen jede Achse und verkleinern die Unsicherheit.',
  }),
  rank: say('Die Fotos bestimmen die Form nicht.', 'Geben Sie Fotos mit anderen Zahlen oben dazu.'),
  'crown-unlikely': (seen, needed) => ({
    text: `Von der Kante gesehene Flächen wirken um ${seen} mm gewölbt; bei solchen Ecken und dieser Oberfläche sind höchstens ${needed} mm zu erwarten. Die Längen über den Flächen tragen die Unsicherheit von beidem.`,
    advice:
      'Wischen Sie die Bühne ab, fotografieren Sie in gleichmäßigem Licht, oder legen Sie ein Lineal an eine Fläche; nennen Sie die Bearbeitung, wenn er getrommelt ist.',
  }),
  'face-unseen': (seen) => ({
    text: `Kein Foto zeigt den Umriss von: ${seen}.`,
    advice: 'Geben Sie ein Foto dazu, in dem er auf der Fläche gegenüber steht oder sich zu ihr neigt.',
  }),
  'camera-rank': say(
    'Die Fotos bestimmen die Kamera nicht.',
    'Neigen Sie die Kamera von Foto zu Foto anders, mit der ganzen Karte im Bild.',
  ),
  'too-long': (seen, needed) => ({
    text: `Die Arbeit wurde nach ${seen} s abgebrochen; für so viele Fotos sind höchstens ${needed} s vorgesehen.`,
    advice:
      'Nehmen Sie weniger Fotos auf einmal, oder schließen Sie andere Programme. Hilft das nicht, lassen Sie abgeschnittene oder beschädigte Fotos weg.',
  }),
  'no-photo': (seen, needed) => ({
    text: `${seen} Fotos sind brauchbar, mindestens ${needed} ist nötig.`,
    advice: 'Sehen Sie nach, was jedem Foto fehlt.',
  }),
  'sheen-unknown': say(
    'Der Glanz des Würfels ließ sich an seinen Flächen nicht ablesen; der von poliertem Kunststoff wurde angenommen.',
    'Fotos, die Flächen in mehreren Neigungen zeigen, verraten ihn.',
  ),
  'numbers-unknown': (seen, needed) => ({
    text:
      needed === '0'
        ? `Welche Zahl oben liegt, war nicht zu lesen; auf den Flächen gesehen: ${seen}.`
        : `Die Zahlen von ${seen} von ${needed} Fotos waren zu lesen.`,
    advice:
      'Sagen Sie, welche Zahl oben liegt und welche zum unteren Rand sieht, oder fotografieren Sie schärfer und näher.',
  }),
  'front-unknown': (seen) => ({
    text: `${seen} liegt oben, doch keine Fläche zeigt, welche Zahl zum unteren Rand sieht; die Unsicherheit der Längen schließt das ein.`,
    advice:
      'Sagen Sie, welche Zahl zum unteren Rand sieht, oder neigen Sie die Kamera etwas, bis eine Seitenfläche zu sehen ist.',
  }),
  'numbers-contradicted': (seen, needed) => ({
    text: `Die Flächen zeigen ${shownNumbers(seen)}; angegeben war ${shownNumbers(needed)}.`,
    advice: 'Sehen Sie das Foto an und berichtigen Sie die Zahlen.',
  }),
  'numbers-doubted': (seen, needed) => ({
    text: `In ${seen} von ${needed} Fotos widersprechen die Flächen den angegebenen Zahlen.`,
    advice:
      'Sehen Sie diese Fotos an, und berichtigen Sie die Zahlen; bis dahin können Längen unter falschen Namen stehen.',
  }),
  'other-kind': (seen, needed) => ({
    text: `Das sieht nach einem ${seen} aus; angegeben war ein ${needed}.`,
    advice: 'Wählen Sie die richtige Art.',
  }),
  'kind-unknown': (seen) => ({
    text: `Die Umrisse sagen nicht, welche Art Würfel das ist (am ähnlichsten: ${seen}).`,
    advice: 'Wählen Sie die Art; der Würfel soll eben auf einer Fläche stehen, allein und scharf.',
  }),
  'wrong-kind': (seen, needed) => ({
    text: `Die Umrisse passen nicht zu einem ${needed}: ${seen}.`,
    advice: 'Wählen Sie die richtige Art; der Würfel soll eben auf einer Fläche stehen, allein und scharf.',
  }),
  'one-view': say(
    'Ein Foto zeigt einen Würfel von einer Seite: Seine senkrechte Achse und seine Unterseite werden nicht beurteilt.',
    'Drehen Sie die Würfel um und fotografieren Sie sie noch einmal, wo es darauf ankommt.',
  ),
  'bin-median': say(
    'Verglichen mit dem mittleren Würfel dieser Kiste: Ein Fehler, den die meisten Würfel haben, zeigt sich nicht.',
    'Tragen Sie ein Nennmaß ein, oder geben Sie einen gemessenen Würfel als Vorbild.',
  ),
};
