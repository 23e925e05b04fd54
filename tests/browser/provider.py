"""A small OpenID Connect provider on this machine, to try the shop's own sign-in against.

It does what the authorization code flow with PKCE asks of a provider (OpenID Connect Core 1.0,
section 3.1; RFC 7636) and nothing more; the person at the browser says who he is with a tap.
"""

from __future__ import annotations

import base64
import hashlib
import json
import secrets
import time
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Thread
from typing import Any
from urllib.parse import parse_qs, urlencode, urlsplit

from joserfc import jwt
from joserfc.jwk import RSAKey

CLIENT, SECRET = "the-shop", "invented-secret"


class Provider:
    """The provider, running; `people` are the claims that it makes of who signs in there."""

    def __init__(self) -> None:
        self.people: dict[str, dict[str, Any]] = {}
        self.codes: dict[str, dict[str, Any]] = {}
        self.told: list[str] = []
        self.key = RSAKey.generate_key(2048, {"kid": "1", "use": "sig", "alg": "RS256"})
        self.server = ThreadingHTTPServer(("127.0.0.1", 0), _handler(self))
        Thread(target=self.server.serve_forever, daemon=True).start()

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.server.server_port}"

    @property
    def metadata_url(self) -> str:
        return f"{self.address}/.well-known/openid-configuration"

    def stop(self) -> None:
        self.server.shutdown()
        self.server.server_close()

    def metadata(self) -> dict[str, Any]:
        return {
            "issuer": self.address,
            "authorization_endpoint": f"{self.address}/authorize",
            "token_endpoint": f"{self.address}/token",
            "jwks_uri": f"{self.address}/jwks",
            "end_session_endpoint": f"{self.address}/end",
            "response_types_supported": ["code"],
            "subject_types_supported": ["public"],
            "id_token_signing_alg_values_supported": ["RS256"],
            "code_challenge_methods_supported": ["S256"],
        }

    def chosen(self, asked: dict[str, str]) -> str:
        """Return where a browser goes whose person tapped a name."""
        code = secrets.token_urlsafe(16)
        self.codes[code] = asked
        return f"{asked['redirect_uri']}?{urlencode({'code': code, 'state': asked['state']})}"

    def token(self, form: dict[str, str], authorization: str) -> dict[str, Any] | None:
        """Return the tokens for a code, once, to the client that proves itself; else nothing."""
        asked = self.codes.pop(form.get("code", ""), None)
        basic = "Basic " + base64.b64encode(f"{CLIENT}:{SECRET}".encode()).decode()
        verifier = form.get("code_verifier", "").encode()
        challenge = base64.urlsafe_b64encode(hashlib.sha256(verifier).digest()).decode().rstrip("=")
        if asked is None or authorization != basic or asked["code_challenge"] != challenge:
            return None
        now = int(time.time())
        claims = {
            "iss": self.address,
            "aud": CLIENT,
            "iat": now,
            "exp": now + 3600,
            "nonce": asked["nonce"],
            "sub": asked["as"],
            **self.people[asked["as"]],
        }
        token = jwt.encode({"alg": "RS256", "kid": "1"}, claims, self.key)
        return {
            "access_token": secrets.token_urlsafe(16),
            "token_type": "Bearer",
            "expires_in": 3600,
            "id_token": token,
        }


def _handler(provider: Provider) -> type[BaseHTTPRequestHandler]:
    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            url = urlsplit(self.path)
            asked = {name: values[0] for name, values in parse_qs(url.query).items()}
            provider.told.append(url.path)
            if url.path == "/.well-known/openid-configuration":
                self._json(provider.metadata())
            elif url.path == "/jwks":
                self._json({"keys": [provider.key.as_dict(private=False)]})
            elif url.path == "/authorize" and "as" in asked:
                self._go(provider.chosen(asked))
            elif url.path == "/authorize":
                links = "".join(
                    f'<p><a href="/authorize?{url.query}&amp;as={name}">{name}</a></p>'
                    for name in provider.people
                )
                self._send(200, "text/html", f"<h1>Invented provider</h1>{links}".encode())
            elif url.path == "/end":
                self._go(asked["post_logout_redirect_uri"])
            else:
                self._send(404, "text/plain", b"")

        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["Content-Length"])).decode()
            form = {name: values[0] for name, values in parse_qs(body).items()}
            given = provider.token(form, self.headers.get("Authorization", ""))
            self._json(given or {"error": "invalid_grant"}, 200 if given else 400)

        def _json(self, content: dict[str, Any], status: int = 200) -> None:
            self._send(status, "application/json", json.dumps(content).encode())

        def _go(self, address: str) -> None:
            self.send_response(302)
            self.send_header("Location", address)
            self.end_headers()

        def _send(self, status: int, kind: str, content: bytes) -> None:
            self.send_response(status)
            self.send_header("Content-Type", kind)
            self.send_header("Content-Length", str(len(content)))
            self.end_headers()
            self.wfile.write(content)

        def log_message(self, *_: object) -> None:
            """Say nothing on standard error."""

    return Handler
