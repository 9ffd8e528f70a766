import type { z } from 'zod';

/** What a person is told of one fault in a form: a sentence about the field, not about the schema. */
export function formFaultText(issue: z.core.$ZodIssue, value: unknown): string {
  const isMissing = value === '' || value === null || value === undefined;
  if (isMissing) return 'Please fill this in';
  switch (issue.code) {
    case 'too_small':
      return issue.origin === 'string'
        ? `At least ${issue.minimum} characters`
        : `${issue.inclusive ? 'At least' : 'More than'} ${issue.minimum}`;
    case 'too_big':
      return issue.origin === 'string'
        ? `At most ${issue.maximum} characters`
        : `${issue.inclusive ? 'At most' : 'Less than'} ${issue.maximum}`;
    case 'invalid_format':
      return issue.format === 'email' ? 'This is no e-mail address' : issue.message;
    case 'invalid_type':
      return issue.expected === 'number' ? 'Please give a number' : issue.message;
    default:
      return issue.message;
  }
}
