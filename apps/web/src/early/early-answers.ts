/** An answer that nobody took by then is asked for again, as it may be out of date (ms). */
const KEPT_MS = 10_000;

/** What the server said, as it was sent. */
interface Early {
  readonly data: unknown;
}

interface Question {
  /** Undefined when there is no good answer. */
  readonly answer: Promise<Early | undefined>;
  /** The answer, once it is there. */
  here?: Early | undefined;
}

const questions = new Map<string, Question>();

/** Asks for something that the page will ask for. Undefined when there is no good answer. */
export function askEarly(url: string): Promise<Early | undefined> {
  const answer = read(url).catch(() => undefined);
  keepEarly(url, answer);
  return answer;
}

/** Keeps an answer for who asks at this address. */
export function keepEarly(url: string, answer: Promise<Early | undefined>): void {
  const question: Question = { answer };
  void answer.then((here) => {
    question.here = here;
  });
  questions.set(keyOf(url), question);
  setTimeout(() => questions.delete(keyOf(url)), KEPT_MS);
}

async function read(url: string): Promise<Early | undefined> {
  const response = await fetch(url, { credentials: 'same-origin' });
  // A refusal is read as well: as long as it is not, the browser holds its connection.
  const text = await response.text();
  return response.ok ? { data: JSON.parse(text) } : undefined;
}

/** Fulfilled when all that has been asked by now is answered. */
export async function earlyAnswers(): Promise<void> {
  await Promise.all(Array.from(questions.values(), ({ answer }) => answer));
}

/**
 * The answer to what was asked early, for one taker, who asks by himself where there is none. One who no longer wants it
 * leaves it for the next.
 */
export async function takeEarly(url: string, signal?: AbortSignal): Promise<Early | undefined> {
  const answer = await questions.get(keyOf(url))?.answer;
  if (!signal?.aborted) questions.delete(keyOf(url));
  return answer;
}

/** The same without waiting: taken only if it is there and `read` makes something of it. */
export function takeIfHere<T>(url: string, read: (data: unknown) => T | undefined): T | undefined {
  const here = questions.get(keyOf(url))?.here;
  const found = here && read(here.data);
  if (found !== undefined) questions.delete(keyOf(url));
  return found;
}

/** After a change, or when somebody else is signed in, nothing holds that was asked before. */
export function forgetEarly(): void {
  questions.clear();
}

/** The same question, in whatever order its values are written. */
function keyOf(url: string): string {
  const [path, query] = url.split('?');
  const values = new URLSearchParams(query);
  values.sort();
  return `${path}?${values}`;
}
