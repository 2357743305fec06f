/** What was ticked off at the engine stand: kept in this browser, under the engine. */
export class Ticks {
  private kept = $state.raw<ReadonlySet<string>>(new Set());
  private readonly place: string;

  constructor(engine: string) {
    this.place = `fettle.ticks.${engine}`;
    try {
      this.kept = new Set(JSON.parse(localStorage.getItem(this.place) ?? '[]') as string[]);
    } catch {
      // A store that cannot be read holds no ticks.
    }
  }

  has(key: string): boolean { return this.kept.has(key); }

  set(key: string, on: boolean): void {
    const next = new Set(this.kept);
    if (on) next.add(key);
    else next.delete(key);
    this.keep(next);
  }

  clear(): void { this.keep(new Set()); }

  private keep(next: ReadonlySet<string>): void {
    this.kept = next;
    try {
      localStorage.setItem(this.place, JSON.stringify([...next]));
    } catch {
      // The card on screen still holds them.
    }
  }
}
