"""The role matrix: which role may do which action. It is data, and the only place of it."""

from __future__ import annotations

from enum import StrEnum


class Role(StrEnum):
    """What a person is to the shop; the customer is who holds a link, and signs in nowhere."""

    OWNER = "owner"
    TECHNICIAN = "technician"
    CUSTOMER = "customer"


STAFF_ROLES = (Role.OWNER, Role.TECHNICIAN)
"""The roles of people who sign in."""


class Action(StrEnum):
    """What can be done or seen, as the journal names it."""

    WORK_VISIT = "work on a visit"
    ATTACH_PHOTO = "attach a photo"
    SEE_PHOTO = "see a photo"
    ISSUE_QUOTE = "issue a quote"
    SEE_QUOTE = "see a quote"
    LIST_QUOTES = "list quotes"
    ANSWER_QUOTE = "answer a quote"
    MAKE_LINK = "make a link"
    REVOKE_LINK = "revoke a link"
    RECORD_OUTCOME = "record an outcome"
    ASK_ALLOWANCE = "ask for an allowance"
    DECIDE_ALLOWANCE = "decide on an allowance"
    SEE_MARGINS = "see costs and margins"
    SEE_BOOKS = "see the books"
    SEE_RATES = "see the rate sheets"
    PUBLISH_RATES = "publish a rate sheet"
    MANAGE_PEOPLE = "manage people"
    CHANGE_OWN_PASSWORD = "change one's own password"
    READ_JOURNAL = "read the journal"
    VERIFY_LEDGER = "verify the ledger"
    EXPORT_CUSTOMER = "export a customer's data"
    ERASE_CUSTOMER = "erase a customer's data"
    BUILD_CATALOG = "build a catalog"
    BACK_UP = "back up the shop"
    RESTORE = "restore the shop"
    CHECK_SHOP = "check the shop"


_OWNER = frozenset({Role.OWNER})
_STAFF = frozenset(STAFF_ROLES)
_ANYBODY = frozenset(Role)

MATRIX: dict[Action, frozenset[Role]] = {
    Action.WORK_VISIT: _STAFF,
    Action.ATTACH_PHOTO: _STAFF,
    Action.SEE_PHOTO: _STAFF,
    Action.ISSUE_QUOTE: _STAFF,
    Action.SEE_QUOTE: _ANYBODY,
    Action.LIST_QUOTES: _STAFF,
    Action.ANSWER_QUOTE: _ANYBODY,
    Action.MAKE_LINK: _STAFF,
    Action.REVOKE_LINK: _STAFF,
    Action.RECORD_OUTCOME: _STAFF,
    Action.ASK_ALLOWANCE: _STAFF,
    Action.DECIDE_ALLOWANCE: _OWNER,
    Action.SEE_MARGINS: _OWNER,
    Action.SEE_BOOKS: _OWNER,
    Action.SEE_RATES: _OWNER,
    Action.PUBLISH_RATES: _OWNER,
    Action.MANAGE_PEOPLE: _OWNER,
    Action.CHANGE_OWN_PASSWORD: _STAFF,
    Action.READ_JOURNAL: _OWNER,
    Action.VERIFY_LEDGER: _OWNER,
    Action.EXPORT_CUSTOMER: _OWNER,
    Action.ERASE_CUSTOMER: _OWNER,
    Action.BUILD_CATALOG: _OWNER,
    Action.BACK_UP: _OWNER,
    Action.RESTORE: _OWNER,
    Action.CHECK_SHOP: _OWNER,
}
"""Action → the roles that may do it. The customer's two are further bound to his own quote."""
