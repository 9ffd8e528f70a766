import { QueryClient } from '@tanstack/react-query';
import { afterEach, beforeAll, describe, expect, it, vi } from 'vitest';
import { z } from 'zod';
import { earlyAnswers, forgetEarly, keepEarly, takeEarly, takeIfHere } from '../src/early/early-answers.js';

const BASE = '/api/v1';
const car = z.object({ id: z.string() });
const carPage = z.object({ items: z.array(car), nextCursor: z.string().nullable(), totalCount: z.number() });

async function answered(url: string, data: unknown): Promise<void> {
  keepEarly(url, Promise.resolve({ data }));
  await earlyAnswers();
}

afterEach(forgetEarly);

describe('an answer to what was asked early', () => {
  it('is there for one taker, in whatever order the question is written', async () => {
    await answered('/api/v1/cars?b=2&a=1', 'two');
    expect(takeIfHere('/api/v1/cars?a=1&b=2', (data) => data)).toBe('two');
    expect(takeIfHere('/api/v1/cars?a=1&b=2', (data) => data)).toBeUndefined();
    expect(await takeEarly('/api/v1/cars?a=1&b=2')).toBeUndefined();
  });

  it('stays for who waits for it where nothing can be made of it, or as long as it is on its way', async () => {
    let resolve: (answer: { data: unknown }) => void = () => {};
    const answer = new Promise<{ data: unknown }>((told) => {
      resolve = told;
    });
    keepEarly('/api/v1/cars', answer);
    expect(takeIfHere('/api/v1/cars', (data) => data)).toBeUndefined();
    resolve({ data: 7 });
    await earlyAnswers();
    expect(takeIfHere('/api/v1/cars', () => undefined)).toBeUndefined();
    expect(await takeEarly('/api/v1/cars')).toEqual({ data: 7 });
  });
});

describe('a query', () => {
  // The client reads the base path from the page that it runs in.
  let resource: typeof import('../src/api/resource.js')['resource'];
  let wholeList: typeof import('../src/api/resource.js')['wholeList'];
  beforeAll(async () => {
    vi.stubGlobal('document', { baseURI: 'https://club.example/' });
    ({ resource, wholeList } = await import('../src/api/resource.js'));
    vi.unstubAllGlobals();
  });

  const client = () => new QueryClient({ defaultOptions: { queries: { staleTime: 60_000 } } });

  it('holds what was asked early before anything is fetched, checked against its schema', async () => {
    const fetching = vi.spyOn(globalThis, 'fetch');
    await answered(`${BASE}/cars/c1`, { id: 'c1', unknown: true });
    const found = await client().fetchQuery({ queryKey: ['car'], ...resource('/cars/c1', car) });
    expect(found).toEqual({ id: 'c1' });
    expect(fetching).not.toHaveBeenCalled();
    fetching.mockRestore();
  });

  it('asks the server where the early answer is none by its schema', async () => {
    await answered(`${BASE}/cars/c1`, { id: 1 });
    expect(resource('/cars/c1', car).initialData()).toBeUndefined();
  });

  it('takes an early list only where it is whole', async () => {
    await answered(`${BASE}/cars?limit=200`, { items: [{ id: 'c1' }], nextCursor: 'more', totalCount: 300 });
    expect(wholeList('/cars', carPage).initialData()).toBeUndefined();
    await answered(`${BASE}/cars?limit=200`, { items: [{ id: 'c1' }], nextCursor: null, totalCount: 1 });
    expect(wholeList('/cars', carPage).initialData()).toEqual({ items: [{ id: 'c1' }], totalCount: 1 });
  });
});
