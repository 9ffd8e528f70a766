import type { z } from 'zod';
import { forgetEarly, takeEarly } from '../early/early-answers.js';
import { toApiProblem, Unreachable } from './api-problem.js';
import { BASE_PATH } from './base-path.js';

export type QueryValues = Record<string, string | number | boolean | null | undefined>;

/** Address of an API resource, below the path that the pages are served under. Empty query values are left out. */
export function apiUrl(path: string, query: QueryValues = {}): string {
  const parameters = new URLSearchParams();
  for (const [name, value] of Object.entries(query)) {
    if (value !== undefined && value !== null && value !== '') parameters.set(name, String(value));
  }
  const text = parameters.toString();
  return `${BASE_PATH}api/v1${path}${text === '' ? '' : `?${text}`}`;
}

/** Reads a resource and checks it against its schema. Throws ApiProblem or Unreachable. */
export async function get<T extends z.ZodType>(
  path: string,
  schema: T,
  { query = {}, signal }: { query?: QueryValues; signal?: AbortSignal } = {},
): Promise<z.infer<T>> {
  const url = apiUrl(path, query);
  const early = await takeEarly(url, signal);
  const answer = early === undefined ? await exchange(url, { method: 'GET', ...(signal && { signal }) }) : early.data;
  return schema.parse(answer);
}

export const PAGE_LIMIT = 200;
/** A list that is shown whole ends here, far above the size of a club. */
const MAX_PAGES = 25;

/** Reads a list page by page until its end, for lists that are short enough to be shown, sorted and searched whole. */
export async function getAll<Item>(
  path: string,
  schema: z.ZodType<Page<Item>>,
  signal: AbortSignal,
  query: QueryValues = {},
): Promise<{ items: Item[]; totalCount: number }> {
  const items: Item[] = [];
  let cursor: string | null | undefined;
  let totalCount = 0;
  for (let page = 0; page < MAX_PAGES && cursor !== null; page++) {
    const answer: Page<Item> = await get(path, schema, { query: { ...query, cursor, limit: PAGE_LIMIT }, signal });
    items.push(...answer.items);
    totalCount = answer.totalCount;
    cursor = answer.nextCursor;
  }
  return { items, totalCount };
}

export interface Page<Item> {
  readonly items: Item[];
  readonly nextCursor: string | null;
  readonly totalCount: number;
}

/** Sends a change and checks the answer. Each call is one intention, so it carries a new Idempotency-Key. */
export async function send<T extends z.ZodType>(
  method: 'POST' | 'PUT' | 'PATCH' | 'DELETE',
  path: string,
  { body, schema }: { body?: unknown; schema: T },
): Promise<z.infer<T>> {
  forgetEarly();
  const headers: Record<string, string> = { 'idempotency-key': newIdempotencyKey() };
  if (body !== undefined) headers['content-type'] = 'application/json';
  const init: RequestInit = { method, headers };
  if (body !== undefined) init.body = JSON.stringify(body);
  return schema.parse(await exchange(apiUrl(path), init));
}

/** Sends a file as it is, to be read by the server, and checks the answer. One intention, as with `send`. */
export async function sendFile<T extends z.ZodType>(
  path: string,
  file: Blob,
  { query = {}, schema }: { query?: QueryValues; schema: T },
): Promise<z.infer<T>> {
  const headers = { 'idempotency-key': newIdempotencyKey(), 'content-type': 'application/octet-stream' };
  return schema.parse(await exchange(apiUrl(path, query), { method: 'POST', headers, body: file }));
}

async function exchange(url: string, init: RequestInit): Promise<unknown> {
  const response = await fetchOrSay(url, init);
  const text = await response.text();
  if (!response.ok) throw toApiProblem(response.status, text, response.headers.get('x-request-id'));
  return text === '' ? undefined : JSON.parse(text);
}

async function fetchOrSay(url: string, init: RequestInit): Promise<Response> {
  try {
    return await fetch(url, { credentials: 'same-origin', ...init });
  } catch (cause) {
    if (init.signal?.aborted) throw cause;
    throw new Unreachable('No answer from the server. Check the connection.', { cause });
  }
}

/** `crypto.randomUUID` is missing on plain HTTP, which home networks use; `getRandomValues` is not. */
export function newIdempotencyKey(): string {
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, '0')).join('');
}
