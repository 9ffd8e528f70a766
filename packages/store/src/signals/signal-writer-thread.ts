import { parentPort, workerData } from 'node:worker_threads';
import type { SignalBatch } from '@syncline/drivelog';
import { createSignalWriter } from './create-signal-writer.js';
import type { AppendRequest, WriterReply, WriterRequest, WriterTask } from './signal-writer-messages.js';
import type { SignalWriter } from './signals.js';

/** Entry point of the thread that `startSignalWriter` begins: it does what it is asked one after the other. */
const port = parentPort;
if (port === null) throw new Error('This is the entry point of a thread.');
const { path, signalIds } = workerData as WriterTask;
const opened = createSignalWriter(path, signalIds);
let turn: Promise<unknown> = opened.catch(() => undefined);

port.on('message', (request: WriterRequest) => {
  turn = turn.then(async () => {
    const reply = await answer(request);
    port.postMessage(reply, reply.kind === 'appended' ? [reply.room] : []);
    // With nothing to listen to the thread ends. A file that could not be closed is still to be taken away.
    if (reply.kind === 'closed' || request.kind === 'abort') port.close();
  });
});

async function answer(request: WriterRequest): Promise<WriterReply> {
  try {
    return await carryOut(await opened, request);
  } catch (error) {
    const { message, code } = error as NodeJS.ErrnoException;
    return { kind: 'failed', message, code };
  }
}

async function carryOut(writer: SignalWriter, request: WriterRequest): Promise<WriterReply> {
  if (request.kind === 'close') return { kind: 'closed', summary: await writer.close() };
  if (request.kind === 'abort') {
    await writer.abort();
    return { kind: 'aborted' };
  }
  await writer.append(batchOf(request));
  return { kind: 'appended', room: request.room };
}

function batchOf({ room, startIndex, count, present }: AppendRequest): SignalBatch {
  const column = (place: number) => new Float64Array(room, 8 * place * count, count);
  const signals = Object.fromEntries(present.map((id, i) => [id, column(i + 1)]));
  return { startIndex, timeS: column(0), signals };
}
