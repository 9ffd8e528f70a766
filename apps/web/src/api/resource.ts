import type { QueryFunctionContext } from '@tanstack/react-query';
import type { z } from 'zod';
import { takeIfHere } from '../early/early-answers.js';
import { apiUrl, get, getAll, PAGE_LIMIT, type Page, type QueryValues } from './client.js';

/** How a query reads one resource. What was asked for early is there from the first drawing on. */
export function resource<T extends z.ZodType>(path: string, schema: T, query: QueryValues = {}) {
  return {
    queryFn: ({ signal }: QueryFunctionContext): Promise<z.infer<T>> => get(path, schema, { query, signal }),
    initialData: (): z.infer<T> | undefined => takeIfHere(apiUrl(path, query), (data) => schema.safeParse(data).data),
  };
}

/** How a query reads a list to its end, see `getAll`. */
export function wholeList<Item>(path: string, schema: z.ZodType<Page<Item>>, query: QueryValues = {}) {
  return {
    queryFn: ({ signal }: QueryFunctionContext) => getAll(path, schema, signal, query),
    initialData: () =>
      takeIfHere(apiUrl(path, { ...query, limit: PAGE_LIMIT }), (data) => {
        const first = schema.safeParse(data).data;
        return first?.nextCursor === null ? { items: first.items, totalCount: first.totalCount } : undefined;
      }),
  };
}
