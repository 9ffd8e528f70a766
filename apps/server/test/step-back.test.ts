import { once } from 'node:events';
import { constants, getPriority } from 'node:os';
import { Worker } from 'node:worker_threads';
import { expect, it } from 'vitest';

const MODULE = new URL('../dist/workers/step-back.js', import.meta.url).href;

it('a thread that analyses lets those go first that answer people, and only itself', async () => {
  const before = getPriority();
  const worker = new Worker(
    `const { parentPort } = require('node:worker_threads');
     const { getPriority } = require('node:os');
     import(${JSON.stringify(MODULE)}).then(({ stepBack }) => {
       stepBack();
       parentPort.postMessage(getPriority());
     });`,
    { eval: true },
  );
  const [own] = (await once(worker, 'message')) as [number];
  await worker.terminate();
  expect(getPriority()).toBe(before);
  expect(own).toBe(process.platform === 'linux' ? constants.priority.PRIORITY_BELOW_NORMAL : before);
});
