"use strict";
(() => {
  const form = document.querySelector("form");
  const told = document.querySelector("output");
  const words = form.dataset;
  const head = JSON.parse(document.getElementById("asked").textContent);
  const whole = (text) => (text.toWellFormed ? text.toWellFormed() : text).trim();
  const value = (name) => whole(String(new FormData(form).get(name) ?? ""));

  const bytes = (text) => new TextEncoder().encode(text);
  const crc = (data) => {
    let sum = ~0;
    for (const byte of data) {
      sum ^= byte;
      for (let bit = 0; bit < 8; bit++) sum = (sum >>> 1) ^ (sum & 1 ? 0xedb88320 : 0);
    }
    return (~sum >>> 0).toString(16).padStart(8, "0");
  };

  const fields = ["trained", "weekly", "weeks", "what", "problems", "clip"];
  const answered = () => {
    const items = head.asked.map((_, at) => Object.fromEntries(fields.map((name) => [name, value(`${name}-${at}`)])));
    return { by: value("by"), written: new Date().toISOString(), items, more: value("more") };
  };
  const packed = () => {
    const answer = answered();
    const parts = [answer.by, answer.written, ...answer.items.flatMap((item) => fields.map((name) => item[name])), answer.more];
    const sum = crc(bytes(parts.join("\u001f")));
    return JSON.stringify({ kind: words.kind, format: 1, form: head, answer, sum }, null, 1);
  };

  const lacking = () => {
    if (!form.reportValidity()) return words.correct;
    const said = [...new FormData(form)].some(([name, text]) => name !== "by" && String(text).trim());
    return said ? "" : words.empty;
  };
  const say = (text) => { told.textContent = ""; told.textContent = text; };

  const offer = (text) => {
    const box = document.querySelector(".copied");
    let letters = "";
    for (const byte of bytes(text)) letters += String.fromCharCode(byte);
    const lines = btoa(letters).match(/.{1,60}/g).join("\n");
    box.value = `-----BEGIN LOFTBOOK ANSWER-----\n${lines}\n-----END LOFTBOOK ANSWER-----\n`;
    document.querySelector(".other").hidden = false;
  };

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const lack = lacking();
    if (lack) return say(lack);
    const text = packed();
    const link = document.createElement("a");
    const address = URL.createObjectURL(new Blob([text], { type: "application/json" }));
    link.href = address;
    link.download = words.file;
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(address), 60000);
    offer(text);
    say(words.saved);
  });
  document.querySelector(".copy").addEventListener("click", async () => {
    const box = document.querySelector(".copied");
    box.select();
    try {
      await navigator.clipboard.writeText(box.value);
      say(words.copied);
    } catch {
      say(document.execCommand("copy") ? words.copied : words.byhand);
    }
  });
  document.querySelector(".print").addEventListener("click", () => window.print());
  for (const one of document.querySelectorAll(".keys")) one.hidden = false;
})();
