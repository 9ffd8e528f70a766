import {
  type createNoteRequest,
  type editNoteRequest,
  type LogState,
  type LogSummary,
  logPage,
  logResponse,
  logShiftsResponse,
  logSummary,
  note,
  notesResponse,
  reportResponse,
  signalsResponse,
} from '@syncline/contract';
import { keepPreviousData, queryOptions, useMutation, useQueryClient } from '@tanstack/react-query';
import { z } from 'zod';
import { apiUrl, send } from './client.js';
import { resource } from './resource.js';

const POLL_MS = 1000;
const logPath = (logId: string) => `/logs/${encodeURIComponent(logId)}`;

/** Whether the server still works on a log, so that its state is worth asking for again. */
export function isInWork(state: LogState): boolean {
  return state === 'waiting' || state === 'decoding' || state === 'analysing';
}

export interface LogFilter {
  vehicle?: string | undefined;
  state?: LogState | undefined;
  revision?: string | undefined;
  cursor?: string | undefined;
  limit?: number | undefined;
}

/** A part of a drive: which signals, from when to when (s), and how many points the plot has room for. */
export interface SignalWindow {
  signals: readonly string[];
  fromS?: number | undefined;
  toS?: number | undefined;
  points: number;
}

export const logQueries = {
  list: (filter: LogFilter) =>
    queryOptions({
      queryKey: ['logs', 'list', filter],
      ...resource('/logs', logPage, { ...filter }),
      placeholderData: keepPreviousData,
      refetchInterval: ({ state }) => (state.data?.items.some((log) => isInWork(log.state)) ? POLL_MS : false),
    }),
  one: (logId: string) =>
    queryOptions({
      queryKey: ['logs', 'one', logId],
      ...resource(logPath(logId), logResponse),
      refetchInterval: ({ state }) => (state.data !== undefined && isInWork(state.data.state) ? POLL_MS : false),
    }),
  shifts: (logId: string) =>
    queryOptions({
      queryKey: ['logs', 'shifts', logId],
      ...resource(`${logPath(logId)}/shifts`, logShiftsResponse),
    }),
  signals: (logId: string, { signals, fromS, toS, points }: SignalWindow) =>
    queryOptions({
      queryKey: ['logs', 'signals', logId, signals.join(','), fromS, toS, points],
      staleTime: 5 * 60_000,
      ...resource(`${logPath(logId)}/signals`, signalsResponse, {
        signals: signals.join(','),
        from: fromS,
        to: toS,
        points,
      }),
      placeholderData: keepPreviousData,
    }),
  report: (logId: string) =>
    queryOptions({
      queryKey: ['logs', 'report', logId],
      ...resource(`${logPath(logId)}/report`, reportResponse),
    }),
  notes: (logId: string) =>
    queryOptions({
      queryKey: ['logs', 'notes', logId],
      ...resource(`${logPath(logId)}/notes`, notesResponse),
    }),
};

/** Addresses of downloads: the file as it came, and raw samples as CSV. */
export const logDownloads = {
  original: (logId: string) => apiUrl(`${logPath(logId)}/original`),
  signals: (logId: string, { signals, fromS, toS }: Omit<SignalWindow, 'points'>) =>
    apiUrl(`${logPath(logId)}/signals.csv`, { signals: signals.join(','), from: fromS, to: toS }),
};

/** Notes stand on the page of the log and in its report. */
function useNoteChange<Input, Answer>(logId: string, mutationFn: (input: Input) => Promise<Answer>) {
  const client = useQueryClient();
  return useMutation({
    mutationFn,
    onSuccess: () =>
      Promise.all(['notes', 'report'].map((what) => client.invalidateQueries({ queryKey: ['logs', what, logId] }))),
  });
}

export function useAddNote(logId: string) {
  return useNoteChange(logId, (body: z.input<typeof createNoteRequest>) =>
    send('POST', `${logPath(logId)}/notes`, { body, schema: note }),
  );
}

export function useEditNote(logId: string) {
  return useNoteChange(logId, ({ noteId, ...body }: { noteId: string } & z.input<typeof editNoteRequest>) =>
    send('PATCH', `${logPath(logId)}/notes/${encodeURIComponent(noteId)}`, { body, schema: note }),
  );
}

export function useRemoveNote(logId: string) {
  return useNoteChange(logId, (noteId: string) =>
    send('DELETE', `${logPath(logId)}/notes/${encodeURIComponent(noteId)}`, { schema: z.undefined() }),
  );
}

export function useAnalyseAgain(logId: string) {
  const client = useQueryClient();
  return useMutation({
    mutationFn: (): Promise<LogSummary> => send('POST', `${logPath(logId)}/analysis`, { schema: logSummary }),
    onSuccess: () => client.invalidateQueries({ queryKey: ['logs'] }),
  });
}
