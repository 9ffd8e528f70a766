import { type ChangeEvent, type FormEvent, useState } from 'react';
import type { z } from 'zod';
import { ApiProblem } from '../api/api-problem.js';
import { formFaultText } from './form-fault.js';

export type FormValue = string | number | boolean | null | readonly string[];
export type FormValues = Record<string, FormValue>;

interface FormOptions<Values extends FormValues, Schema extends z.ZodType> {
  readonly initial: Values;
  /** The request schema of the contract: the form says what is wrong before the server must. */
  readonly schema: Schema;
  /** Error of the last try; what it says of a field stands at that field. */
  readonly error?: unknown;
  readonly onSubmit: (request: z.infer<Schema>) => void;
}

/**
 * A form over one request schema. Empty number fields hold `''`. Input is kept whatever the answer.
 * `field` serves text inputs, `choice` anything that hands on a bare value.
 */
export function useForm<Values extends FormValues, Schema extends z.ZodType>(options: FormOptions<Values, Schema>) {
  const { initial, schema, error, onSubmit } = options;
  const [values, setValues] = useState(initial);
  const [faults, setFaults] = useState<Record<string, string>>({});

  const set = (name: keyof Values & string, value: FormValue) => {
    setValues((now) => ({ ...now, [name]: value }));
    setFaults(({ [name]: _mended, ...others }) => others);
  };
  const message = (name: string) =>
    faults[name] ?? (error instanceof ApiProblem ? error.fieldMessage(name) : undefined);
  const submit = (event: FormEvent<HTMLFormElement>) => {
    event.preventDefault();
    const parsed = schema.safeParse(values);
    if (parsed.success) return onSubmit(parsed.data);
    const named = parsed.error.issues.map((issue) => {
      const name = String(issue.path[0] ?? '');
      return [name, formFaultText(issue, values[name])] as const;
    });
    setFaults(Object.fromEntries(named));
    focusFirstFault(event.currentTarget);
  };

  return {
    values,
    set,
    submit,
    field: <Name extends keyof Values & string>(name: Name) => ({
      name,
      value: (values[name] ?? '') as string,
      error: message(name),
      onChange: (event: ChangeEvent<HTMLInputElement | HTMLTextAreaElement>) => set(name, event.currentTarget.value),
    }),
    choice: <Name extends keyof Values & string>(name: Name) => ({
      name,
      value: values[name],
      error: message(name),
      onChange: (value: Values[Name] | string | number | null) => set(name, value),
    }),
  };
}

/** After the faults are drawn, the first one gets the focus. */
function focusFirstFault(form: HTMLFormElement): void {
  requestAnimationFrame(() => form.querySelector<HTMLElement>('[aria-invalid="true"]')?.focus());
}
