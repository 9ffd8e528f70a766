import { parentPort, workerData } from 'node:worker_threads';
import type { SignalBatch } from '@syncline/drivelog';
import { createRecorder, type DriveRecorder, type RecorderTask } from './drive-recorder.js';
import type { AppendRequest, RecorderReply, RecorderRequest } from './recorder-messages.js';

/** Entry point of the thread that `startRecorder` begins: it does what it is asked one after the other. */
const port = parentPort;
if (port === null) throw new Error('This is the entry point of a thread.');
const opened = createRecorder(workerData as RecorderTask);
let turn: Promise<unknown> = opened.catch(() => undefined);

port.on('message', (request: RecorderRequest) => {
  turn = turn.then(async () => {
    const reply = await answer(request);
    port.postMessage(reply, reply.kind === 'appended' ? [reply.room] : []);
    // With nothing to listen to the thread ends. A file that could not be closed is still to be taken away.
    if (reply.kind === 'closed' || request.kind === 'abort') port.close();
  });
});

async function answer(request: RecorderRequest): Promise<RecorderReply> {
  try {
    return await carryOut(await opened, request);
  } catch (error) {
    const { message, code } = error as NodeJS.ErrnoException;
    return { kind: 'failed', message, code };
  }
}

async function carryOut(recorder: DriveRecorder, request: RecorderRequest): Promise<RecorderReply> {
  if (request.kind === 'close') return { kind: 'closed', recording: await recorder.close() };
  if (request.kind === 'abort') {
    await recorder.abort();
    return { kind: 'aborted' };
  }
  await recorder.append(batchOf(request));
  return { kind: 'appended', room: request.room };
}

function batchOf({ room, startIndex, count, present }: AppendRequest): SignalBatch {
  const column = (place: number) => new Float64Array(room, 8 * place * count, count);
  const signals = Object.fromEntries(present.map((id, i) => [id, column(i + 1)]));
  return { startIndex, timeS: column(0), signals };
}
