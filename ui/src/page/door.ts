// The bench behind this page: a worker that answers in place of a computer.

import { NotConnected } from '../transport';
import { freshWorker } from './early';
import type { Given } from './lying';
import type { Wanted, Word } from './worker';

interface Waiting {
  done: (given: Given) => void;
  failed: (trouble: Error) => void;
  onsent: (hundredths: number) => void;
}

class Door {
  #worker: Worker | null = null;
  #waiting = new Map<number, Waiting>();
  #number = 0;
  #open: Promise<unknown> = new Promise(() => undefined);

  /** Begins the worker, and waits until it can answer. */
  begin(): Promise<Given> {
    this.end();
    const worker = freshWorker();
    worker.onmessage = ({ data }: MessageEvent<Word>) => {
      const waiting = this.#waiting.get(data.number);
      if (waiting === undefined) return;
      if ('sent' in data) return waiting.onsent(data.sent);
      this.#waiting.delete(data.number);
      if ('given' in data) waiting.done(data.given);
      else waiting.failed(new Error(data.failed));
    };
    worker.onerror = () => this.#loseAll();
    this.#worker = worker;
    const begun = this.#want({ kind: 'start' });
    this.#open = begun;
    return begun;
  }

  /** Ends the worker: its files are free for another page. */
  end(): void {
    this.#worker?.terminate();
    this.#worker = null;
    this.#open = new Promise(() => undefined);
    this.#loseAll();
  }

  /** Carries a question there and its answer back, as text. */
  async ask(ask: string, has: string | null): Promise<string> {
    await this.#open;
    const { body } = await this.#want({ kind: 'ask', ask, has });
    return String(body);
  }

  /** Answers what a computer would at this address. */
  async knock(address: string, init: RequestInit = {}, onsent?: (hundredths: number) => void): Promise<Response> {
    await this.#open;
    const sends = init.method === 'POST';
    if (sends && !(init.body instanceof Blob)) return new Response('{"refused":{"code":"not_here","sentence":"","field":null}}');
    const wanted: Wanted = sends ? { kind: 'send', path: address, file: init.body as Blob } : { kind: 'get', path: address };
    const { status, type, body, name } = await this.#want(wanted, onsent, init.signal ?? undefined);
    const headers = { 'content-type': type, ...(name === undefined ? {} : { 'content-disposition': `attachment; filename="${name}"` }) };
    return new Response(body, { status, headers });
  }

  #want(wanted: Wanted, onsent: (hundredths: number) => void = () => undefined, signal?: AbortSignal): Promise<Given> {
    const worker = this.#worker;
    if (worker === null) return Promise.reject(new NotConnected());
    this.#number += 1;
    const number = this.#number;
    signal?.addEventListener('abort', () => worker.postMessage({ off: number }));
    return new Promise((done, failed) => {
      this.#waiting.set(number, { done, failed, onsent });
      worker.postMessage({ number, wanted });
    });
  }

  #loseAll(): void {
    for (const { failed } of this.#waiting.values()) failed(new NotConnected());
    this.#waiting.clear();
  }
}

export const door = new Door();
