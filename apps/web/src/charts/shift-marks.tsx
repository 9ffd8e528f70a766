import { useElementSize, useMergedRef } from '@mantine/hooks';
import type { ShiftRow } from '@syncline/contract';
import { useEffect, useMemo, useRef } from 'react';
import { GRADE_SHAPES, type Grade, leadingGrade } from '../parts/grade-shapes.js';
import type { ColourScheme } from '../theme/palette.js';
import { useScheme } from '../theme/use-scheme.js';
import { cssColour } from './css-colour.js';
import { type TimeRange, timeShare } from './plot-frame.js';
import classes from './shift-strip.module.css';

interface ShiftMarksProps {
  readonly shifts: readonly ShiftRow[];
  readonly range: TimeRange;
}

/** By how much the picture reaches beyond the strip, for a mark at its very beginning or end (px; see the styles). */
const BEYOND_PX = 9;
/** A mark, and one that asks for no attention (px). */
const SIZE_PX = 12;
const PLAIN_SIZE_PX = 7;
/** Side of the box that shapes are written in, and the stroke of those that are not filled, in units of it. */
const SHAPE_BOX = 12;
const STROKE = 1.8;

/** The shapes of all shifts as one picture: hundreds of pictures would be put together anew by the browser in each frame. */
export function ShiftMarks({ shifts, range }: ShiftMarksProps) {
  const { ref, width, height } = useElementSize<HTMLCanvasElement>();
  const canvas = useRef<HTMLCanvasElement>(null);
  const merged = useMergedRef(ref, canvas);
  const scheme = useScheme();
  const draw = useMemo(() => drawerIn(scheme), [scheme]);
  useEffect(() => {
    const context = canvas.current?.getContext('2d');
    if (context === null || context === undefined || width === 0) return;
    context.canvas.width = width * devicePixelRatio;
    context.canvas.height = height * devicePixelRatio;
    context.lineWidth = STROKE;
    const marks = shifts.map(({ commandS, grades }) => ({
      grade: leadingGrade(grades),
      x: BEYOND_PX + (width - 2 * BEYOND_PX) * timeShare(commandS, range),
      y: height / 2,
    }));
    // Those that ask for attention lie on top.
    for (const mark of marks) if (mark.grade === 'clean') draw(context, mark, PLAIN_SIZE_PX);
    for (const mark of marks) if (mark.grade !== 'clean') draw(context, mark, SIZE_PX);
  }, [shifts, range, width, height, draw]);
  return <canvas ref={merged} className={classes.shapes} />;
}

interface PlacedMark {
  readonly grade: Grade;
  /** Its middle (px of the page, from the corner of the picture). */
  readonly x: number;
  readonly y: number;
}

/** Draws one mark in the colours of the theme that is shown, which are read once. */
function drawerIn(_scheme: ColourScheme) {
  const shapes = new Map(
    Object.entries(GRADE_SHAPES).map(([grade, { path, isFilled, colour }]) => [
      grade,
      { outline: new Path2D(path), isFilled, ink: cssColour(colour) },
    ]),
  );
  return (context: CanvasRenderingContext2D, { grade, x, y }: PlacedMark, sizePx: number): void => {
    const shape = shapes.get(grade);
    if (shape === undefined) return;
    const scale = (devicePixelRatio * sizePx) / SHAPE_BOX;
    const toCorner = (middle: number) => devicePixelRatio * (middle - sizePx / 2);
    context.setTransform(scale, 0, 0, scale, toCorner(x), toCorner(y));
    context.fillStyle = shape.ink;
    context.strokeStyle = shape.ink;
    if (shape.isFilled) context.fill(shape.outline);
    else context.stroke(shape.outline);
  };
}
