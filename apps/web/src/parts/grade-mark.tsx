import { GRADE_SHAPES, type Grade } from './grade-shapes.js';
import { Mark } from './mark.js';
import classes from './mark.module.css';

/** One grade as shape, word and colour. */
export function GradeMark({ grade }: { readonly grade: Grade }) {
  return <Mark {...GRADE_SHAPES[grade]} />;
}

/** All grades of a shift. */
export function GradeMarks({ grades }: { readonly grades: readonly Grade[] }) {
  return (
    <span className={classes.list}>
      {grades.map((grade) => (
        <GradeMark key={grade} grade={grade} />
      ))}
    </span>
  );
}
