import ts from 'typescript';
import { seededRandom } from '../../src/maths/random.ts';

/** One small fault in a source file. */
export interface Mutant {
  /** Line of the fault, from 1, and what stands there now and instead. */
  readonly line: number;
  readonly was: string;
  readonly is: string;
  /** The whole file with the fault in it. */
  readonly text: string;
}

/** What a token may be exchanged for. */
const EXCHANGED: Readonly<Partial<Record<ts.SyntaxKind, string>>> = {
  [ts.SyntaxKind.LessThanToken]: '>=',
  [ts.SyntaxKind.LessThanEqualsToken]: '>',
  [ts.SyntaxKind.GreaterThanToken]: '<=',
  [ts.SyntaxKind.GreaterThanEqualsToken]: '<',
  [ts.SyntaxKind.PlusToken]: '-',
  [ts.SyntaxKind.MinusToken]: '+',
  [ts.SyntaxKind.AsteriskToken]: '/',
  [ts.SyntaxKind.SlashToken]: '*',
  [ts.SyntaxKind.AmpersandAmpersandToken]: '||',
  [ts.SyntaxKind.BarBarToken]: '&&',
  [ts.SyntaxKind.EqualsEqualsEqualsToken]: '!==',
  [ts.SyntaxKind.ExclamationEqualsEqualsToken]: '===',
};

interface Place {
  readonly from: number;
  readonly to: number;
  readonly is: string;
}

/** Numbers that count places or raise to a power are no constants; 0 and 1 rarely are. */
function isConstant(node: ts.NumericLiteral): boolean {
  const { parent } = node;
  if (
    ts.isElementAccessExpression(parent) ||
    ts.isEnumMember(parent) ||
    (ts.isPropertyAssignment(parent) && parent.name === node)
  )
    return false;
  return !['0', '1'].includes(node.text);
}

/** Whether the node only says something to a person or the compiler. */
const silent = (node: ts.Node): boolean =>
  ts.isTypeNode(node) || ts.isImportDeclaration(node) || ts.isInterfaceDeclaration(node);

function placesOf(source: ts.SourceFile): Place[] {
  const places: Place[] = [];
  const visit = (node: ts.Node): void => {
    if (silent(node)) return;
    const at = { from: node.getStart(source), to: node.end };
    if (ts.isNumericLiteral(node) && isConstant(node)) {
      // A third, unless the number counts something: then one more.
      const value = Number(node.text);
      places.push({
        ...at,
        is: Number.isInteger(value) && value < 100 ? String(value + 1) : `(${node.getText(source)} / 3)`,
      });
    }
    if (ts.isBinaryExpression(node)) {
      const token = node.operatorToken;
      const is = EXCHANGED[token.kind];
      const text =
        ts.isStringLiteralLike(node.left) ||
        ts.isStringLiteralLike(node.right) ||
        ts.isTemplateExpression(node.left) ||
        ts.isTemplateExpression(node.right);
      if (is !== undefined && !(text && token.kind === ts.SyntaxKind.PlusToken))
        places.push({ from: token.getStart(source), to: token.end, is });
    }
    if (ts.isConditionalExpression(node))
      places.push({
        from: node.condition.getStart(source),
        to: node.condition.end,
        is: `!(${node.condition.getText(source)})`,
      });
    if (ts.isIfStatement(node))
      places.push({ from: node.expression.getStart(source), to: node.expression.end, is: 'false' });
    ts.forEachChild(node, visit);
  };
  visit(source);
  return places;
}

/**
 * `count` faults of a file, drawn without repeats: a constant at a third (a small whole number: one more), a comparison or sum the other
 * way, a condition exchanged or never true. @param seed Same seed, same faults.
 */
export function mutantsOf(name: string, text: string, count: number, seed: number): Mutant[] {
  const source = ts.createSourceFile(name, text, ts.ScriptTarget.ES2022, true);
  const places = placesOf(source);
  const random = seededRandom(seed);
  const drawn: Place[] = [];
  while (drawn.length < count && places.length > 0)
    drawn.push(...places.splice(Math.floor(random() * places.length), 1));
  return drawn.map(({ from, to, is }) => ({
    line: source.getLineAndCharacterOfPosition(from).line + 1,
    was: text.slice(from, to),
    is,
    text: text.slice(0, from) + is + text.slice(to),
  }));
}
