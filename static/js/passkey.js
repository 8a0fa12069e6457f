/* Passkeys: their forms show themselves where the browser knows passkeys, and say what went wrong. */
(() => {
  "use strict";

  const forms = document.querySelectorAll("[data-passkey]");
  if (!window.isSecureContext || !window.PublicKeyCredential) return;
  document.querySelectorAll("[data-no-passkey]").forEach((words) => {
    words.hidden = true;
  });
  forms.forEach((form) => {
    form.hidden = false;
  });

  document.addEventListener("allauth.error", (event) => {
    event.preventDefault();
    forms.forEach((form) => said(form).replaceChildren(why(event.detail.exception)));
  });

  function said(form) {
    const known = form.querySelector("[role=alert].field-errors");
    if (known) return known;
    const words = document.createElement("p");
    words.className = "field-errors";
    words.setAttribute("role", "alert");
    form.append(words);
    return words;
  }

  function why(error) {
    if (error.name === "InvalidStateError") return "This device has a passkey for you already.";
    return "No passkey came from your device. Try again, or take another way.";
  }
})();
