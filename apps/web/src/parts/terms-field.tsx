import { Checkbox } from '@mantine/core';
import { TERMS } from '@syncline/contract';
import classes from './terms-field.module.css';

interface TermsFieldProps {
  readonly isAgreed: boolean;
  readonly fault: string | undefined;
  readonly onChange: (isAgreed: boolean) => void;
}

/** The terms of a club, and the box that agrees to them. */
export function TermsField({ isAgreed, fault, onChange }: TermsFieldProps) {
  return (
    <div className={classes.terms}>
      <ul>
        {TERMS.map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
      <Checkbox
        label="I agree to all of this"
        checked={isAgreed}
        error={fault}
        onChange={(event) => onChange(event.currentTarget.checked)}
      />
    </div>
  );
}
