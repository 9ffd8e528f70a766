/** Value of a `datetime-local` input for a moment, in the zone of this computer, to the minute. */
export function toLocalInput(moment: Date): string {
  const two = (value: number) => String(value).padStart(2, '0');
  const day = `${moment.getFullYear()}-${two(moment.getMonth() + 1)}-${two(moment.getDate())}`;
  return `${day}T${two(moment.getHours())}:${two(moment.getMinutes())}`;
}

/** The moment that a `datetime-local` input means, as ISO 8601 in UTC. Throws RangeError when the input is empty. */
export function fromLocalInput(value: string): string {
  return new Date(value).toISOString();
}
