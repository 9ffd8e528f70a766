import { generateKeyPairSync } from 'node:crypto';
import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { openSigningKey } from '../src/services/signing-key.js';

function temporaryFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'syncline-key-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

describe('the signing key of a data folder', () => {
  it('is made once, readable by its owner alone, and the same at each start', () => {
    const folder = temporaryFolder();
    const key = openSigningKey(folder);
    expect(readdirSync(folder)).toEqual(['signing-key.pem']);
    expect(statSync(join(folder, 'signing-key.pem')).mode & 0o777).toBe(0o600);
    expect(openSigningKey(folder).publicKeyHex).toBe(key.publicKeyHex);
    expect(key.publicKeyHex).toMatch(/^[0-9a-f]{64}$/);
  });

  it('differs from folder to folder', () => {
    expect(openSigningKey(temporaryFolder()).keyId).not.toBe(openSigningKey(temporaryFolder()).keyId);
  });

  it('is made anew after a crash that left half a file', () => {
    const folder = temporaryFolder();
    writeFileSync(join(folder, 'signing-key.pem.part'), '-----BEGIN PRIV');
    expect(openSigningKey(folder).publicKeyHex).toMatch(/^[0-9a-f]{64}$/);
    expect(readdirSync(folder)).toEqual(['signing-key.pem']);
  });

  it.each([
    ['is empty', '', /is no private key/],
    ['is no key', 'hello', /is no private key/],
    ['is of another kind', rsaKey(), /type rsa, expected Ed25519/],
  ])('is left alone when its file %s, and the server says what to do', (_, text, message) => {
    const folder = temporaryFolder();
    writeFileSync(join(folder, 'signing-key.pem'), text);
    expect(() => openSigningKey(folder)).toThrow(message);
    expect(() => openSigningKey(folder)).toThrow(/backup/);
    expect(readFileSync(join(folder, 'signing-key.pem'), 'utf8')).toBe(text);
  });
});

function rsaKey(): string {
  const { privateKey } = generateKeyPairSync('rsa', { modulusLength: 2048 });
  return privateKey.export({ type: 'pkcs8', format: 'pem' }).toString();
}
