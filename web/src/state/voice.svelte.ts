/** Spoken and audible confirmation, by the browser's own speech; each screen may turn it off. */
import { spoken } from '../lib/bench.ts';
import { prefs } from './prefs.svelte.ts';

let context: AudioContext | undefined;

/** A short tone: one high for taken, two low for something that is wrong. */
function tone(frequency: number, start: number): void {
  try {
    context ??= new AudioContext();
    const [oscillator, gain] = [context.createOscillator(), context.createGain()];
    const at = context.currentTime + start;
    oscillator.frequency.value = frequency;
    gain.gain.setValueAtTime(0.25, at);
    gain.gain.exponentialRampToValueAtTime(0.001, at + 0.18);
    oscillator.connect(gain).connect(context.destination);
    oscillator.start(at);
    oscillator.stop(at + 0.2);
  } catch {
    // Without sound the words on the screen stand alone.
  }
}

class Voice {
  readonly offered = 'speechSynthesis' in globalThis;

  get on(): boolean { return prefs.voice; }

  turn(on: boolean): void {
    prefs.voice = on;
    if (!on && this.offered) speechSynthesis.cancel();
    if (on) this.say('Voice on');
  }

  /** What was being said is cut short, unless this is to follow it: the latest is what counts. */
  say(line: string, sound?: 'taken' | 'wrong', follow = false): void {
    if (!prefs.voice) return;
    if (sound === 'taken') tone(1200, 0);
    if (sound === 'wrong') [0, 0.25].forEach((start) => tone(330, start));
    if (!this.offered || line === '') return;
    if (!follow) speechSynthesis.cancel();
    const words = new SpeechSynthesisUtterance(spoken(line));
    words.lang = 'en';
    speechSynthesis.speak(words);
  }
}

export const voice = new Voice();

/** Keeps the screen lit while the returned function has not been called; a page that was hidden asks again. */
export function stayAwake(onState: (held: boolean) => void): () => void {
  let lock: WakeLockSentinel | undefined;
  let wanted = true;
  const ask = async (): Promise<void> => {
    if (!wanted || document.visibilityState !== 'visible' || !('wakeLock' in navigator)) return;
    try {
      lock = await navigator.wakeLock.request('screen');
      lock.addEventListener('release', () => onState(false));
      if (wanted) onState(true);
      else await lock.release();
    } catch {
      onState(false);
    }
  };
  const again = (): void => void ask();
  document.addEventListener('visibilitychange', again);
  again();
  return () => {
    wanted = false;
    document.removeEventListener('visibilitychange', again);
    void lock?.release();
  };
}
