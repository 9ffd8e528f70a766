import { createVehicleRequest, setupRequest } from '@syncline/contract';
import { describe, expect, it } from 'vitest';
import { formFaultText } from '../src/parts/form-fault.js';

const faultOf = (result: ReturnType<typeof setupRequest.safeParse>, name: string, value: unknown) => {
  const issue = result.error?.issues.find((entry) => entry.path[0] === name);
  return issue === undefined ? undefined : formFaultText(issue, value);
};

describe('a fault in a form', () => {
  it.each([
    ['clubName', '', 'Please fill this in'],
    ['email', 'nobody', 'This is no e-mail address'],
    ['password', 'short', 'At least 12 characters'],
  ])('at %s is said in words', (name, value, text) => {
    const form = { clubName: 'Tern club', name: 'Thrift', email: 'a@b.example', password: 'a long password' };
    expect(faultOf(setupRequest.safeParse({ ...form, [name]: value }), name, value)).toBe(text);
  });

  it.each([
    ['massKg', 12, 'At least 300'],
    ['massKg', 90_000, 'At most 20000'],
    ['tyreRadiusM', '', 'Please fill this in'],
    ['finalDriveRatio', 0, 'More than 0'],
  ])('at %s = %s is said in words', (name, value, text) => {
    const result = createVehicleRequest.safeParse({ [name]: value });
    const issue = result.error?.issues.find((entry) => entry.path[0] === name);
    expect(issue && formFaultText(issue, value)).toBe(text);
  });
});
