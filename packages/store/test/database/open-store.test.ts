import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { copyFileSync, mkdirSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import Database from 'better-sqlite3';
import { describe, expect, it, onTestFinished } from 'vitest';
import { connectForWriting } from '../../src/database/connect.js';
import { writeContext } from '../../src/database/context.js';
import { moveWriteLog } from '../../src/files.js';
import { openReadOnly } from '../../src/index.js';
import { aClub } from '../support/builders.js';
import { openTestStore, START_MS, temporaryFolder } from '../support/test-store.js';

/** A second process that opens the folder and holds it until it is killed. */
async function holdInOtherProcess(folder: string): Promise<ChildProcess> {
  const script = fileURLToPath(import.meta.resolve('../support/hold-folder.ts'));
  const holder = spawn(process.execPath, ['--import', 'tsx', script, folder], { stdio: ['ignore', 'pipe', 'inherit'] });
  onTestFinished(() => void holder.kill('SIGKILL'));
  await once(createInterface(holder.stdout), 'line');
  return holder;
}

describe('openStore', () => {
  it('refuses a folder that another process holds, says which, and takes it over once that one is dead', async () => {
    const folder = temporaryFolder();
    const holder = await holdInOtherProcess(folder);
    expect(() => openTestStore({ folder })).toThrow(
      expect.objectContaining({ code: 'folder_in_use', message: expect.stringContaining(`process ${holder.pid} `) }),
    );
    holder.kill('SIGKILL');
    await once(holder, 'exit');
    const { store } = openTestStore({ folder });
    expect(store.read.people.findClub()?.name).toBe('Shore');
  });

  it('clears away what a process that died had unpacked', () => {
    const { store, folder } = openTestStore();
    const scratch = store.blobs.scratchFolder();
    mkdirSync(scratch);
    writeFileSync(join(scratch, 'measurement'), 'half of it');
    store.close();
    openTestStore({ folder });
    expect(readdirSync(join(folder, 'scratch'))).toEqual([]);
  });

  it('refuses a folder that this process holds already', () => {
    const { folder } = openTestStore();
    expect(() => openTestStore({ folder })).toThrow(expect.objectContaining({ code: 'folder_in_use' }));
  });

  it.each([
    ['journal_mode', 'wal'],
    ['synchronous', 2],
    ['foreign_keys', 1],
    ['busy_timeout', 5000],
  ])('writes through a connection whose %s is %s', (pragma, value) => {
    const sqlite = connectForWriting(join(temporaryFolder(), 'test.db'));
    onTestFinished(() => void sqlite.close());
    expect(sqlite.pragma(pragma, { simple: true })).toBe(value);
  });

  it('leaves an empty write-ahead log and an open folder when it is closed', () => {
    const { store, folder } = openTestStore();
    aClub(store);
    expect(store.status().walBytes).toBeGreaterThan(0);
    store.checkpoint();
    expect(store.status().walBytes).toBe(0);
    store.close();
    const again = openTestStore({ folder });
    expect(again.store.read.people.findClub()).toEqual({ name: 'Shore', createdAtMs: START_MS });
  });

  it('keeps all or nothing of a transaction made of several writes', () => {
    const { store } = openTestStore();
    expect(() =>
      store.transaction(() => {
        aClub(store);
        throw new Error('changed my mind');
      }),
    ).toThrow('changed my mind');
    expect(store.read.people.findClub()).toBeUndefined();
    expect(store.read.audit.list({ limit: 10 }).totalCount).toBe(0);
  });

  it.each(['transaction', 'repeatable'] as const)('waits for the disk again once a %s is over, kept or not', (kind) => {
    const sqlite = connectForWriting(join(temporaryFolder(), 'test.db'));
    onTestFinished(() => void sqlite.close());
    sqlite.exec('CREATE TABLE drives (name TEXT)');
    const context = writeContext(sqlite, { clock: () => START_MS, ids: () => 'id' });
    const wait = () => sqlite.pragma('synchronous', { simple: true });
    const add = () => {
      sqlite.exec("INSERT INTO drives VALUES ('kept')");
      return wait();
    };
    // PRAGMA synchronous: 1 is NORMAL, 2 FULL (sqlite.org/pragma.html).
    expect(context[kind](add)).toBe(kind === 'repeatable' ? 1 : 2);
    expect(context.transaction(() => context[kind](add))).toBe(2);
    expect(() =>
      context[kind](() => {
        add();
        throw new Error('changed my mind');
      }),
    ).toThrow('changed my mind');
    expect(wait()).toBe(2);
    expect(sqlite.prepare('SELECT name FROM drives').all()).toHaveLength(2);
  });

  it('keeps nothing of a transaction of which a part failed, even when that was caught', () => {
    const { store } = openTestStore();
    expect(() =>
      store.transaction(() => {
        try {
          store.transaction(() => {
            aClub(store);
            throw new Error('changed my mind');
          });
        } catch {
          // Goes on as if nothing had happened.
        }
      }),
    ).toThrow('A part of a transaction failed');
    expect(store.read.people.findClub()).toBeUndefined();
    aClub(store);
    expect(store.read.people.findClub()?.name).toBe('Shore');
  });

  it('has its write-ahead log moved into the database by another thread, readers or not', () => {
    const { store, folder } = openTestStore();
    const reader = openReadOnly({ folder, clock: () => START_MS });
    onTestFinished(() => reader.close());
    aClub(store);
    expect(reader.read.people.findClub()?.name).toBe('Shore');
    moveWriteLog(folder);
    const alone = temporaryFolder();
    copyFileSync(join(folder, 'syncline.db'), join(alone, 'syncline.db'));
    const copy = openReadOnly({ folder: alone, clock: () => START_MS });
    onTestFinished(() => copy.close());
    expect(copy.read.people.findClub()?.name).toBe('Shore');
  });
});

describe('openReadOnly', () => {
  it('sees what the owner commits, and cannot write', () => {
    const { store, folder } = openTestStore();
    const reader = openReadOnly({ folder, clock: () => START_MS });
    onTestFinished(() => reader.close());
    expect(reader.read.people.findClub()).toBeUndefined();
    aClub(store);
    expect(reader.read.people.findClub()?.name).toBe('Shore');
    expect(reader).not.toHaveProperty('write');
  });

  it('refuses a database that was never brought up to date', () => {
    const folder = temporaryFolder();
    new Database(join(folder, 'syncline.db')).close();
    expect(() => openReadOnly({ folder, clock: () => 0 })).toThrow(expect.objectContaining({ code: 'schema_missing' }));
  });
});
