//! The orders of a parcel, kept in place where there is one, as there mostly is.
//!
//! Not here: which orders share a parcel (`combine`).

use std::ops::{Deref, DerefMut};

use crate::orders::Order;

/// The orders of a parcel, in bench order. Read them as a slice.
#[derive(Clone, Debug, PartialEq)]
pub struct ParcelOrders(OrdersKept);

/// How they are kept. A list takes half as much again as the one order that is mostly in it.
#[derive(Clone, Debug, PartialEq)]
enum OrdersKept {
    /// One order.
    One(Order),
    /// None or several.
    List(Vec<Order>),
}

impl ParcelOrders {
    /// Adds an order behind the others.
    pub(super) fn push(&mut self, order: Order) {
        let kept = std::mem::replace(&mut self.0, OrdersKept::List(Vec::new()));
        self.0 = match kept {
            OrdersKept::One(first) => OrdersKept::List(vec![first, order]),
            OrdersKept::List(list) if list.is_empty() => OrdersKept::One(order),
            OrdersKept::List(mut list) => {
                list.push(order);
                OrdersKept::List(list)
            }
        };
    }
}

impl Default for ParcelOrders {
    /// No order.
    fn default() -> ParcelOrders {
        ParcelOrders(OrdersKept::List(Vec::new()))
    }
}

impl From<Vec<Order>> for ParcelOrders {
    fn from(orders: Vec<Order>) -> ParcelOrders {
        let mut kept = ParcelOrders::default();
        orders.into_iter().for_each(|order| kept.push(order));
        kept
    }
}

impl Deref for ParcelOrders {
    type Target = [Order];

    fn deref(&self) -> &[Order] {
        match &self.0 {
            OrdersKept::One(order) => std::slice::from_ref(order),
            OrdersKept::List(list) => list,
        }
    }
}

impl DerefMut for ParcelOrders {
    fn deref_mut(&mut self) -> &mut [Order] {
        match &mut self.0 {
            OrdersKept::One(order) => std::slice::from_mut(order),
            OrdersKept::List(list) => list,
        }
    }
}

impl<'a> IntoIterator for &'a ParcelOrders {
    type Item = &'a Order;
    type IntoIter = std::slice::Iter<'a, Order>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orders::read_orders;
    use crate::source::Sources;

    #[test]
    fn one_order_takes_no_more_room_than_an_order() {
        assert_eq!(size_of::<ParcelOrders>(), size_of::<Order>());
    }

    #[test]
    fn orders_lie_in_the_order_in_which_they_come() {
        let order = |id: usize| {
            format!(
                r#"{{"id": "TH-{id}", "items": [{{"title": "Nib"}}], "ship_to": {{"name": "Ada Marlow", "country": "GB"}}}}"#
            )
        };
        let text = format!("[{}, {}, {}]", order(1), order(2), order(3));
        let file = Sources::new().add("orders.json", "");
        let orders = read_orders(text, file).orders;
        assert_eq!(orders.len(), 3);
        for count in 0..=orders.len() {
            let mut kept = ParcelOrders::from(orders[..count].to_vec());
            assert_eq!(&kept[..], &orders[..count]);
            kept.reverse();
            assert!(kept.iter().eq(orders[..count].iter().rev()));
        }
    }
}
