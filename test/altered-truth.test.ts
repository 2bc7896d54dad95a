import { expect, test } from 'vitest';
import { faceAgreementOf, faceWords, type Truth } from '../src/cli/altered/truth.ts';
import { madeResult } from './support/made-result.ts';

const truth: Truth = {
  axes_mm: {},
  mean_corner_radius_mm: 0.7,
  print_scale: 1,
  bow_mm: { 1: 0.05, 2: 0.03 },
  scars: [{ face: 3 }, { face: '4' }],
};
const mark = { place: [1, 0], size: [1, 1], height: null, kind: 'proud' } as const;

test('crowns and marks that were told are held against the truth', () => {
  const made = madeResult('d6');
  const crown = (name: string): { value: number; u: number } | null =>
    name === '1' ? { value: 0.053, u: 0.005 } : name === '2' ? { value: 0.034, u: 0.001 } : null;
  const faces = made.faces.map((f) => ({ ...f, crown: crown(f.name) }));
  const marks = ['3', '5'].map((face) => ({ ...mark, face }));
  const found = faceAgreementOf({ ...made, faces, marks }, truth);
  // Errors of 3 and 4 um: their root mean square is 5 / sqrt(2). The second lies 4 u off.
  expect(found.crowns).toEqual({ told: 2, rms: expect.closeTo(5 / Math.SQRT2, 9) as number, within: 1 });
  expect(found.marks).toEqual({ found: 1, missed: 1, invented: 1 });
  expect(faceWords(found)).toBe('crowns 2 told, rms 3.5, within U95 1/2; marks 1 found, 1 missed, 1 invented');
});

test('a crown of a flat die is held against nothing, and where nothing is told nothing is said', () => {
  const made = madeResult('d6');
  const flat: Truth = { ...truth, bow_mm: undefined, scars: [] };
  const faces = made.faces.map((f, i) => (i === 0 ? { ...f, crown: { value: 0.02, u: 0.015 } } : f));
  expect(faceAgreementOf({ ...made, faces }, flat).crowns).toMatchObject({ told: 1, within: 1 });
  expect(faceWords(faceAgreementOf(made, flat))).toBe('');
});
