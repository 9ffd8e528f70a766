import { formatCount } from '../format/quantity.js';
import { GRADE_SHAPES, type Grade } from './grade-shapes.js';
import { Mark } from './mark.js';
import classes from './mark.module.css';

/** How many shifts got each grade; grades without a shift are left out. */
export function GradeTally({ grades }: { readonly grades: Record<string, number> }) {
  const known = Object.entries(grades).filter(([grade, count]) => grade in GRADE_SHAPES && count > 0);
  if (known.length === 0) return <span>–</span>;
  return (
    <span className={classes.list}>
      {known.map(([grade, count]) => {
        const shape = GRADE_SHAPES[grade as Grade];
        return <Mark key={grade} {...shape} word={`${formatCount(count)} ${shape.word}`} />;
      })}
    </span>
  );
}
