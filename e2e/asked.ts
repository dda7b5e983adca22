// What the program is asked and told besides its page.

import { expect, type APIRequestContext } from '@playwright/test';
import { randomUUID } from 'node:crypto';
import type { Job } from '../web/src/wire/Job.ts';
import type { LogChange } from '../web/src/wire/LogChange.ts';
import type { LogKept } from '../web/src/wire/LogKept.ts';
import type { Movement } from '../web/src/wire/Movement.ts';
import type { Template } from '../web/src/wire/Template.ts';
import type { Program } from './program.ts';

export class Asked {
  constructor(
    private readonly request: APIRequestContext,
    private readonly program: Program,
  ) {}

  private at = (path: string) => `${this.program.address}/api/v1${path}`;

  async get<T>(path: string): Promise<T> {
    const answer = await this.request.get(this.at(path));
    expect(answer.ok(), `${path}: ${answer.status()}`).toBe(true);
    return answer.json();
  }

  /** A photo, a sound, a paper or an archive. */
  async bytes(path: string): Promise<Buffer> {
    const answer = await this.request.get(this.at(path));
    expect(answer.ok(), `${path}: ${answer.status()}`).toBe(true);
    return answer.body();
  }

  async post<T>(path: string, data: unknown): Promise<T> {
    const answer = await this.request.post(this.at(path), { data, headers: { origin: this.program.address } });
    expect(answer.ok(), await answer.text()).toBe(true);
    return answer.json();
  }

  /** The job of a watch of the invented workshop. */
  async jobOf(watch: RegExp): Promise<string> {
    const { jobs } = await this.get<{ jobs: { id: string; watch_description: string }[] }>('/jobs');
    const found = jobs.find(({ watch_description }) => watch.test(watch_description));
    if (!found) throw new Error(`no job for ${watch}`);
    return found.id;
  }

  movement = (job: string) => this.get<Movement>(`/jobs/${job}/movement`);

  log = (job: string, changes: LogChange[]) => {
    const entries = changes.map((change) => ({ id: randomUUID(), at: new Date().toISOString(), change }));
    return this.post<LogKept>(`/jobs/${job}/log`, { entries });
  };

  template = (name: string, job_id: string) => this.post<Template>('/templates', { name, job_id });

  drafts = async (template: string): Promise<LogChange[]> =>
    (await this.get<{ changes: LogChange[] }>(`/templates/${template}/drafts`)).changes;

  /** A job of its own with the same movement, all of it taken down, by way of a template. */
  async takenDown(watch: RegExp): Promise<string> {
    const template = await this.template(`as ${watch}`, await this.jobOf(watch));
    const { id } = await this.post<Job>('/jobs', { watch: { new: { description: 'the same once more' } } });
    expect((await this.log(id, await this.drafts(template.id))).refused).toBeNull();
    return id;
  }
}
