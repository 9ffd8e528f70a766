import type { ShiftRow } from '@syncline/contract';

export type Grade = ShiftRow['grades'][number];

interface GradeShape {
  readonly word: string;
  /** SVG path in a box of 12 × 12; serves `Path2D` on a canvas as well. */
  readonly path: string;
  readonly isFilled: boolean;
  /** Name of the colour in tokens.css. */
  readonly colour: `--grade-${Grade}`;
}

/** One shape, word and colour for each grade, the same on every page and plot. */
export const GRADE_SHAPES: Record<Grade, GradeShape> = {
  clean: { word: 'clean', path: 'M6 2.2a3.8 3.8 0 1 0 0.01 0Z', isFilled: false, colour: '--grade-clean' },
  flare: { word: 'flare', path: 'M6 1 11.2 10.6H0.8Z', isFilled: true, colour: '--grade-flare' },
  'tie-up': { word: 'tie-up', path: 'M1 1.5H11L7.2 6 11 10.5H1L4.8 6Z', isFilled: true, colour: '--grade-tie-up' },
  harsh: {
    word: 'harsh',
    path: 'M6 0.5 7.5 4.5 11.5 6 7.5 7.5 6 11.5 4.5 7.5 0.5 6 4.5 4.5Z',
    isFilled: true,
    colour: '--grade-harsh',
  },
  slow: { word: 'slow', path: 'M1 3.6H11V8.4H1Z', isFilled: true, colour: '--grade-slow' },
  incomplete: {
    word: 'incomplete',
    path: 'M2.2 2.2 9.8 9.8M9.8 2.2 2.2 9.8',
    isFilled: false,
    colour: '--grade-incomplete',
  },
};

/** The grade to draw where there is room for one: the first that asks for attention. */
export function leadingGrade(grades: readonly Grade[]): Grade {
  const order: readonly Grade[] = ['flare', 'tie-up', 'incomplete', 'harsh', 'slow'];
  return order.find((grade) => grades.includes(grade)) ?? 'clean';
}
